package org.tallywire.line;

/**
 * CRC-16/IBM-3740: polynomial 0x1021, initial value 0xFFFF, no reflection, no final XOR; 29B1 over
 * {@code 123456789} (RevEng catalogue). Rule L-5.
 */
final class Crc16 {

  private static final int POLYNOMIAL = 0x1021;

  private Crc16() {}

  static int of(byte[] bytes, int from, int to) {
    int crc = 0xFFFF;
    for (int i = from; i < to; i++) {
      crc ^= (bytes[i] & 0xFF) << 8;
      for (int bit = 0; bit < 8; bit++) {
        crc = (crc & 0x8000) != 0 ? (crc << 1) ^ POLYNOMIAL : crc << 1;
      }
      crc &= 0xFFFF;
    }
    return crc;
  }
}
