package org.tallywire.journal;

import java.nio.ByteBuffer;
import java.nio.charset.StandardCharsets;
import java.util.zip.CRC32C;
import org.jspecify.annotations.Nullable;

/**
 * The check value of a row: CRC-32C over its other columns in the order of the table, an integer as
 * 8 bytes, a text as its UTF-8 length in 4 bytes and its UTF-8, a blob as its length in 4 bytes and
 * itself; big end first.
 */
final class Guard {

  private static final int NOTHING = -1;

  private Guard() {}

  /** Computes it over values that are {@code Long}, {@code String}, {@code byte[]} or null. */
  static long of(@Nullable Object... columns) {
    CRC32C crc = new CRC32C();
    for (Object column : columns) {
      if (column instanceof Long number) {
        crc.update(ByteBuffer.allocate(Long.BYTES).putLong(number).flip());
      } else if (column instanceof String text) {
        bytes(crc, text.getBytes(StandardCharsets.UTF_8));
      } else if (column instanceof byte[] blob) {
        bytes(crc, blob);
      } else if (column == null) {
        // no column may be null, so a row with one fails whatever its guard says
        length(crc, NOTHING);
      } else {
        throw new IllegalArgumentException("a column of " + column.getClass());
      }
    }
    return crc.getValue();
  }

  private static void bytes(CRC32C crc, byte[] bytes) {
    length(crc, bytes.length);
    crc.update(bytes);
  }

  private static void length(CRC32C crc, int length) {
    crc.update(ByteBuffer.allocate(Integer.BYTES).putInt(length).flip());
  }
}
