package org.tallywire.link;

import java.io.ByteArrayOutputStream;
import java.util.HexFormat;

/**
 * Bytes from a wire as text: for a log line, and for people to read, write and change. As text it
 * is printable ASCII, with {@code \\}, {@code \r}, {@code \n}, {@code \t} and {@code \xHH} for the
 * rest: what a double-quoted string of YAML understands too.
 */
public final class VisibleBytes {

  private static final int HEX_DIGITS = 2;

  private VisibleBytes() {}

  /** Returns the first of the bytes as printable ASCII, everything else as {@code \xHH}. */
  public static String of(byte[] bytes, int count) {
    StringBuilder out = new StringBuilder();
    for (int i = 0; i < count; i++) {
      if (isPlain(bytes[i])) {
        out.append((char) bytes[i]);
      } else {
        hex(out, bytes[i]);
      }
    }
    return out.toString();
  }

  private static boolean isPlain(byte octet) {
    return octet >= 0x20 && octet < 0x7F && octet != '\\';
  }

  private static void hex(StringBuilder out, byte octet) {
    out.append("\\x").append(HexFormat.of().withUpperCase().toHexDigits(octet));
  }

  /**
   * Returns the bytes from one place to before another, with the short escapes that people know.
   */
  public static String text(byte[] bytes, int from, int to) {
    StringBuilder out = new StringBuilder();
    for (int i = from; i < to; i++) {
      switch (bytes[i]) {
        case '\\' -> out.append("\\\\");
        case '\r' -> out.append("\\r");
        case '\n' -> out.append("\\n");
        case '\t' -> out.append("\\t");
        default -> {
          boolean lostAtAnEdge = bytes[i] == ' ' && (i == from || i == to - 1);
          if (isPlain(bytes[i]) && !lostAtAnEdge) {
            out.append((char) bytes[i]);
          } else {
            hex(out, bytes[i]);
          }
        }
      }
    }
    return out.toString();
  }

  /**
   * Returns the bytes that a text stands for.
   *
   * @throws IllegalArgumentException with a sentence that says which character cannot be so
   */
  public static byte[] parse(String text) {
    ByteArrayOutputStream out = new ByteArrayOutputStream(text.length());
    int i = 0;
    while (i < text.length()) {
      char c = text.charAt(i);
      if (c < 0x20 || c > 0x7E) {
        throw new IllegalArgumentException(
            "character %d is U+%04X; what is not printable ASCII is written byte by byte as \\xHH"
                .formatted(i + 1, (int) c));
      }
      if (c == '\\') {
        i = escape(text, i, out);
      } else {
        out.write(c);
        i++;
      }
    }
    return out.toByteArray();
  }

  private static int escape(String text, int at, ByteArrayOutputStream out) {
    char kind = at + 1 < text.length() ? text.charAt(at + 1) : ' ';
    switch (kind) {
      case '\\' -> out.write('\\');
      case 'r' -> out.write('\r');
      case 'n' -> out.write('\n');
      case 't' -> out.write('\t');
      case 'x' -> {
        int end = at + 2 + HEX_DIGITS;
        if (end > text.length() || !isHex(text.charAt(at + 2)) || !isHex(text.charAt(at + 3))) {
          throw new IllegalArgumentException(
              "character %d: behind \\x stand two hexadecimal digits, as in \\x0D"
                  .formatted(at + 1));
        }
        out.write(HexFormat.fromHexDigits(text, at + 2, end));
        return end;
      }
      default ->
          throw new IllegalArgumentException(
              "character %d: behind a \\ stands \\, r, n, t or x and two hexadecimal digits"
                  .formatted(at + 1));
    }
    return at + 2;
  }

  private static boolean isHex(char c) {
    return HexFormat.isHexDigit(c);
  }
}
