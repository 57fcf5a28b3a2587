package org.tallywire.declared;

import java.io.ByteArrayOutputStream;
import java.nio.charset.StandardCharsets;
import java.util.HexFormat;
import java.util.Optional;

/**
 * Bytes as people write them in a file: characters up to U+00FF stand for themselves, and {@code
 * \r}, {@code \n}, {@code \t}, {@code \\} and {@code \x00} to {@code \xFF} for what cannot be seen.
 */
public final class Bytes {

  private Bytes() {}

  /** Reads bytes; nothing if a character is none, or an escape is not one of the above. */
  public static Optional<byte[]> read(String text) {
    ByteArrayOutputStream bytes = new ByteArrayOutputStream();
    int i = 0;
    while (i < text.length()) {
      char c = text.charAt(i++);
      if (c > 0xFF || (c == '\\' && i == text.length())) {
        return Optional.empty();
      }
      if (c != '\\') {
        bytes.write(c);
        continue;
      }
      char kind = text.charAt(i++);
      int value =
          switch (kind) {
            case 'r' -> '\r';
            case 'n' -> '\n';
            case 't' -> '\t';
            case '\\' -> '\\';
            case 'x' -> hex(text, i);
            default -> -1;
          };
      if (value < 0) {
        return Optional.empty();
      }
      i += kind == 'x' ? 2 : 0;
      bytes.write(value);
    }
    return Optional.of(bytes.toByteArray());
  }

  private static int hex(String text, int from) {
    boolean there =
        from + 2 <= text.length()
            && HexFormat.isHexDigit(text.charAt(from))
            && HexFormat.isHexDigit(text.charAt(from + 1));
    return there ? HexFormat.fromHexDigits(text, from, from + 2) : -1;
  }

  /** Writes bytes so that {@link #read} gives them back and each can be seen. */
  public static String written(byte[] bytes) {
    return written(new String(bytes, StandardCharsets.ISO_8859_1));
  }

  /** Writes a text likewise. */
  static String written(String text) {
    StringBuilder out = new StringBuilder();
    for (int i = 0; i < text.length(); i++) {
      char c = text.charAt(i);
      switch (c) {
        case '\r' -> out.append("\\r");
        case '\n' -> out.append("\\n");
        case '\t' -> out.append("\\t");
        case '\\' -> out.append("\\\\");
        default ->
            out.append((c >= ' ' && c < 0x7F) || c > 0xFF ? "" + c : "\\x%02X".formatted((int) c));
      }
    }
    return out.toString();
  }
}
