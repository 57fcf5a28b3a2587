package org.tallywire.declared;

import java.nio.charset.StandardCharsets;
import java.util.HexFormat;
import java.util.Locale;
import java.util.Optional;

/**
 * How a check value stands in a line.
 *
 * @param form its characters
 * @param bytes of the value: 1, 2 or 4
 * @param digits characters, or bytes if it is binary
 * @param lowFirst whether the low byte comes first
 * @param mask bits of the value that are sent
 * @param plus what is added after the mask, so that it can be printed
 */
record CheckWriting(Form form, int bytes, int digits, boolean lowFirst, long mask, long plus) {

  /** The characters of a check value. */
  enum Form {
    /** Hexadecimal digits: sent as capitals, heard in either case. */
    HEX,
    /** Hexadecimal digits, small ones alone. */
    HEX_LOWER,
    /** Hexadecimal digits, capitals alone. */
    HEX_UPPER,
    /** Decimal digits with leading zeros. */
    DECIMAL,
    /** The bytes themselves. */
    BINARY
  }

  /** Returns the characters that stand for a computed value. */
  byte[] write(long computed) {
    long value = (computed & mask) + plus;
    byte[] high = new byte[bytes];
    for (int i = 0; i < bytes; i++) {
      int shift = 8 * (lowFirst ? i : bytes - 1 - i);
      high[i] = (byte) (value >>> shift);
    }
    String hex = HexFormat.of().formatHex(high);
    String text =
        switch (form) {
          case HEX, HEX_UPPER -> last(hex.toUpperCase(Locale.ROOT));
          case HEX_LOWER -> last(hex);
          case DECIMAL -> last("0".repeat(digits) + value);
          case BINARY -> "";
        };
    return form == Form.BINARY ? high : text.getBytes(StandardCharsets.US_ASCII);
  }

  private String last(String text) {
    return text.substring(Math.max(0, text.length() - digits));
  }

  /**
   * Returns what is wrong with the characters that were sent, if they are not the computed ones.
   */
  Optional<String> wrong(byte[] sent, long computed) {
    byte[] right = write(computed);
    String said = new String(sent, StandardCharsets.ISO_8859_1);
    String due = new String(right, StandardCharsets.ISO_8859_1);
    boolean same = form == Form.HEX ? said.equalsIgnoreCase(due) : said.equals(due);
    return same
        ? Optional.empty()
        : Optional.of(
            "it states %s, the bytes give %s".formatted(Bytes.written(said), Bytes.written(due)));
  }
}
