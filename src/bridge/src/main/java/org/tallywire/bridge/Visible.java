package org.tallywire.bridge;

import java.util.stream.Collectors;
import org.tallywire.link.VisibleBytes;

/** Makes bytes from a wire fit to stand in a log line or on a terminal. */
final class Visible {

  private static final int LONGEST = 200;

  private Visible() {}

  /** Returns the bytes as printable ASCII, everything else as {@code \xHH}, at most 200 of them. */
  static String bytes(byte[] bytes) {
    String shown = VisibleBytes.of(bytes, Math.min(bytes.length, LONGEST));
    return bytes.length > LONGEST ? shown + "… (%d bytes)".formatted(bytes.length) : shown;
  }

  /** Returns the text with a question mark for each control character, line and paragraph mark. */
  static String text(String text) {
    return text.replaceAll("[\\p{C}\\p{Zl}\\p{Zp}]", "?");
  }

  /** Returns the same with the ends of its lines left in place. */
  static String lines(String text) {
    return text.lines().map(Visible::text).map(line -> line + "\n").collect(Collectors.joining());
  }
}
