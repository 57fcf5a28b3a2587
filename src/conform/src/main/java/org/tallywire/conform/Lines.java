package org.tallywire.conform;

import java.nio.charset.StandardCharsets;
import java.util.Locale;
import org.tallywire.line.LineMessage;

/** Lines and bytes as people can read them. */
final class Lines {

  private static final int LONGEST_SHOWN = 260;

  private Lines() {}

  /** Returns a line as text, without its terminator. */
  static String text(LineMessage line) {
    return new String(line.bytes(), StandardCharsets.US_ASCII).stripTrailing();
  }

  /** Returns a line with the digits of its check value in lower case. */
  static byte[] lowerCase(LineMessage line) {
    String text = text(line);
    int star = text.length() - 4;
    return Wire.bytes(
        text.substring(0, star) + text.substring(star).toLowerCase(Locale.ROOT) + "\n");
  }

  /** Returns a line of a transcript: the seconds of a run, and what was said or heard. */
  static String timed(long nanos, String line) {
    return String.format(Locale.ROOT, "%9.3f  %s", nanos / 1e9, line);
  }

  /** Returns bytes as printable text, other bytes as {@code \xHH}; what is long is cut. */
  static String shown(byte[] bytes) {
    int length = Math.min(bytes.length, LONGEST_SHOWN);
    String text = visible(new String(bytes, 0, length, StandardCharsets.ISO_8859_1));
    return bytes.length > length ? text + "… (%d bytes)".formatted(bytes.length) : text;
  }

  /**
   * Returns a text, one character a byte, with every byte that is not printable as {@code \xHH}.
   */
  static String visible(String text) {
    StringBuilder out = new StringBuilder();
    for (int i = 0; i < text.length(); i++) {
      char c = text.charAt(i);
      boolean shown = (c >= 0x20 && c < 0x7F) || c > 0xFF;
      out.append(shown ? String.valueOf(c) : "\\x%02X".formatted((int) c));
    }
    return out.toString();
  }
}
