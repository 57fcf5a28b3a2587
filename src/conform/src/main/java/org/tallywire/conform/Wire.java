package org.tallywire.conform;

import java.nio.charset.StandardCharsets;
import java.util.zip.CRC32C;
import org.tallywire.line.Crc16;

/** Lines as bytes, made by hand so that they may be wrong in one place. */
final class Wire {

  private Wire() {}

  /** Returns a body with its right check value and the terminator. */
  static byte[] line(String body) {
    return bytes(checked(body) + "\n");
  }

  /** Returns a body with its right check value. */
  static String checked(String body) {
    byte[] bytes = bytes(body);
    return "%s*%04X".formatted(body, Crc16.of(bytes, 0, bytes.length));
  }

  /** Returns the body of a reading with its right digest (L-33a). */
  static String digested(String body) {
    CRC32C crc = new CRC32C();
    crc.update(bytes(body));
    return "%s digest=%08X".formatted(body, crc.getValue());
  }

  /** Returns one byte a character. */
  static byte[] bytes(String text) {
    return text.getBytes(StandardCharsets.ISO_8859_1);
  }

  static byte[] joined(byte[]... parts) {
    StringBuilder all = new StringBuilder();
    for (byte[] part : parts) {
      all.append(new String(part, StandardCharsets.ISO_8859_1));
    }
    return bytes(all.toString());
  }

  /** Returns the bytes with one bit of one of them turned. */
  static byte[] flipped(byte[] bytes, int at) {
    byte[] copy = bytes.clone();
    copy[at] ^= 1;
    return copy;
  }
}
