package org.tallywire.line;

/**
 * CRC-16/IBM-3740: polynomial 0x1021, initial value 0xFFFF, no reflection, no final XOR; 29B1 over
 * {@code 123456789} (RevEng catalogue). Rule L-5.
 */
public final class Crc16 {

  private static final int POLYNOMIAL = 0x1021;
  private static final int[] TABLE = table();

  private Crc16() {}

  /**
   * Returns the check value of a part of an array.
   *
   * @param from index of the first byte
   * @param to index after the last byte
   * @return 0 to 0xFFFF
   */
  public static int of(byte[] bytes, int from, int to) {
    int crc = 0xFFFF;
    for (int i = from; i < to; i++) {
      crc = ((crc << 8) & 0xFFFF) ^ TABLE[(crc >> 8) ^ (bytes[i] & 0xFF)];
    }
    return crc;
  }

  private static int[] table() {
    int[] table = new int[256];
    for (int value = 0; value < table.length; value++) {
      int crc = value << 8;
      for (int bit = 0; bit < 8; bit++) {
        crc = (crc & 0x8000) != 0 ? (crc << 1) ^ POLYNOMIAL : crc << 1;
      }
      table[value] = crc & 0xFFFF;
    }
    return table;
  }
}
