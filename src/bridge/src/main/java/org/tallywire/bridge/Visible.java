package org.tallywire.bridge;

import java.util.HexFormat;

/** Makes bytes from a wire fit to stand in a log line or on a terminal. */
final class Visible {

  private static final int LONGEST = 200;

  private Visible() {}

  /** Returns the bytes as printable ASCII, everything else as {@code \xHH}, at most 200 of them. */
  static String bytes(byte[] bytes) {
    StringBuilder out = new StringBuilder();
    for (int i = 0; i < Math.min(bytes.length, LONGEST); i++) {
      if (bytes[i] >= 0x20 && bytes[i] < 0x7F && bytes[i] != '\\') {
        out.append((char) bytes[i]);
      } else {
        out.append("\\x").append(HexFormat.of().withUpperCase().toHexDigits(bytes[i]));
      }
    }
    return bytes.length > LONGEST ? out + "… (%d bytes)".formatted(bytes.length) : out.toString();
  }

  /** Returns the text with a question mark for each control character, line and paragraph mark. */
  static String text(String text) {
    return text.replaceAll("[\\p{C}\\p{Zl}\\p{Zp}]", "?");
  }
}
