package org.tallywire.declared;

import static java.util.Map.entry;

import java.util.Map;
import java.util.TreeMap;

/**
 * CRCs by the names of the public catalogue of parametrised CRC algorithms (RevEng; read in its
 * transcription crc-catalog): those of 8, 16 and 32 bits that instruments use.
 */
final class CrcCatalogue {

  private static final long ONES = 0xFFFFFFFFL;

  private static final Map<String, CheckKind> BY_NAME =
      new TreeMap<>(
          Map.ofEntries(
              entry("crc-8/autosar", crc8(0x2F, 0xFF, false, 0xFF)),
              entry("crc-8/bluetooth", crc8(0xA7, 0, true, 0)),
              entry("crc-8/darc", crc8(0x39, 0, true, 0)),
              entry("crc-8/dvb-s2", crc8(0xD5, 0, false, 0)),
              entry("crc-8/i-432-1", crc8(0x07, 0, false, 0x55)),
              entry("crc-8/maxim-dow", crc8(0x31, 0, true, 0)),
              entry("crc-8/nrsc-5", crc8(0x31, 0xFF, false, 0)),
              entry("crc-8/opensafety", crc8(0x2F, 0, false, 0)),
              entry("crc-8/rohc", crc8(0x07, 0xFF, true, 0)),
              entry("crc-8/sae-j1850", crc8(0x1D, 0xFF, false, 0xFF)),
              entry("crc-8/smbus", crc8(0x07, 0, false, 0)),
              entry("crc-8/tech-3250", crc8(0x1D, 0xFF, true, 0)),
              entry("crc-8/wcdma", crc8(0x9B, 0, true, 0)),
              entry("crc-16/arc", crc16(0x8005, 0, true, 0)),
              entry("crc-16/cms", crc16(0x8005, 0xFFFF, false, 0)),
              entry("crc-16/dds-110", crc16(0x8005, 0x800D, false, 0)),
              entry("crc-16/dnp", crc16(0x3D65, 0, true, 0xFFFF)),
              entry("crc-16/en-13757", crc16(0x3D65, 0, false, 0xFFFF)),
              entry("crc-16/genibus", crc16(0x1021, 0xFFFF, false, 0xFFFF)),
              entry("crc-16/gsm", crc16(0x1021, 0, false, 0xFFFF)),
              entry("crc-16/ibm-3740", crc16(0x1021, 0xFFFF, false, 0)),
              entry("crc-16/ibm-sdlc", crc16(0x1021, 0xFFFF, true, 0xFFFF)),
              entry("crc-16/iso-iec-14443-3-a", crc16(0x1021, 0xC6C6, true, 0)),
              entry("crc-16/kermit", crc16(0x1021, 0, true, 0)),
              entry("crc-16/maxim-dow", crc16(0x8005, 0, true, 0xFFFF)),
              entry("crc-16/mcrf4xx", crc16(0x1021, 0xFFFF, true, 0)),
              entry("crc-16/modbus", crc16(0x8005, 0xFFFF, true, 0)),
              entry("crc-16/profibus", crc16(0x1DCF, 0xFFFF, false, 0xFFFF)),
              entry("crc-16/spi-fujitsu", crc16(0x1021, 0x1D0F, false, 0)),
              entry("crc-16/t10-dif", crc16(0x8BB7, 0, false, 0)),
              entry("crc-16/umts", crc16(0x8005, 0, false, 0)),
              entry("crc-16/usb", crc16(0x8005, 0xFFFF, true, 0xFFFF)),
              entry("crc-16/xmodem", crc16(0x1021, 0, false, 0)),
              entry("crc-32/autosar", crc32(0xF4ACFB13L, ONES, true, ONES)),
              entry("crc-32/bzip2", crc32(0x04C11DB7L, ONES, false, ONES)),
              entry("crc-32/cksum", crc32(0x04C11DB7L, 0, false, ONES)),
              entry("crc-32/iscsi", crc32(0x1EDC6F41L, ONES, true, ONES)),
              entry("crc-32/iso-hdlc", crc32(0x04C11DB7L, ONES, true, ONES)),
              entry("crc-32/jamcrc", crc32(0x04C11DB7L, ONES, true, 0)),
              entry("crc-32/mpeg-2", crc32(0x04C11DB7L, ONES, false, 0)),
              entry("crc-32/xfer", crc32(0xAF, 0, false, 0))));

  private CrcCatalogue() {}

  /** Returns all by their names in small letters. */
  static Map<String, CheckKind> byName() {
    return BY_NAME;
  }

  private static CheckKind crc8(long polynomial, long initial, boolean reflect, long finalXor) {
    return new CheckKind.Crc(8, polynomial, initial, reflect, reflect, finalXor);
  }

  private static CheckKind crc16(long polynomial, long initial, boolean reflect, long finalXor) {
    return new CheckKind.Crc(16, polynomial, initial, reflect, reflect, finalXor);
  }

  private static CheckKind crc32(long polynomial, long initial, boolean reflect, long finalXor) {
    return new CheckKind.Crc(32, polynomial, initial, reflect, reflect, finalXor);
  }
}
