package org.tallywire.link;

import java.util.HexFormat;

/** Bytes from a wire as they may stand in a log line. */
public final class VisibleBytes {

  private VisibleBytes() {}

  /** Returns the first of the bytes as printable ASCII, everything else as {@code \xHH}. */
  public static String of(byte[] bytes, int count) {
    StringBuilder out = new StringBuilder();
    for (int i = 0; i < count; i++) {
      if (bytes[i] >= 0x20 && bytes[i] < 0x7F && bytes[i] != '\\') {
        out.append((char) bytes[i]);
      } else {
        out.append("\\x").append(HexFormat.of().withUpperCase().toHexDigits(bytes[i]));
      }
    }
    return out.toString();
  }
}
