package org.tallywire.declared;

import static java.util.Map.entry;
import static org.junit.jupiter.api.Assertions.assertEquals;

import java.nio.charset.StandardCharsets;
import java.util.List;
import java.util.Locale;
import java.util.Map;
import java.util.Random;
import java.util.zip.CRC32;
import java.util.zip.CRC32C;
import java.util.zip.Checksum;
import org.junit.jupiter.api.DisplayName;
import org.junit.jupiter.api.Test;
import org.junit.jupiter.params.ParameterizedTest;
import org.junit.jupiter.params.provider.ValueSource;
import org.tallywire.api.FaultCode;

final class CheckTest {

  private static final byte[] NINE = "123456789".getBytes(StandardCharsets.US_ASCII);

  /** The catalogue's column "check": over the ASCII digits 1 to 9. */
  private static final Map<String, Long> CATALOGUE =
      Map.ofEntries(
          entry("crc-8/autosar", 0xDFL),
          entry("crc-8/bluetooth", 0x26L),
          entry("crc-8/darc", 0x15L),
          entry("crc-8/dvb-s2", 0xBCL),
          entry("crc-8/i-432-1", 0xA1L),
          entry("crc-8/maxim-dow", 0xA1L),
          entry("crc-8/nrsc-5", 0xF7L),
          entry("crc-8/opensafety", 0x3EL),
          entry("crc-8/rohc", 0xD0L),
          entry("crc-8/sae-j1850", 0x4BL),
          entry("crc-8/smbus", 0xF4L),
          entry("crc-8/tech-3250", 0x97L),
          entry("crc-8/wcdma", 0x25L),
          entry("crc-16/arc", 0xBB3DL),
          entry("crc-16/cms", 0xAEE7L),
          entry("crc-16/dds-110", 0x9ECFL),
          entry("crc-16/dnp", 0xEA82L),
          entry("crc-16/en-13757", 0xC2B7L),
          entry("crc-16/genibus", 0xD64EL),
          entry("crc-16/gsm", 0xCE3CL),
          entry("crc-16/ibm-3740", 0x29B1L),
          entry("crc-16/ibm-sdlc", 0x906EL),
          entry("crc-16/iso-iec-14443-3-a", 0xBF05L),
          entry("crc-16/kermit", 0x2189L),
          entry("crc-16/maxim-dow", 0x44C2L),
          entry("crc-16/mcrf4xx", 0x6F91L),
          entry("crc-16/modbus", 0x4B37L),
          entry("crc-16/profibus", 0xA819L),
          entry("crc-16/spi-fujitsu", 0xE5CCL),
          entry("crc-16/t10-dif", 0xD0DBL),
          entry("crc-16/umts", 0xFEE8L),
          entry("crc-16/usb", 0xB4C8L),
          entry("crc-16/xmodem", 0x31C3L),
          entry("crc-32/autosar", 0x1697D06AL),
          entry("crc-32/bzip2", 0xFC891918L),
          entry("crc-32/cksum", 0x765E7680L),
          entry("crc-32/iscsi", 0xE3069283L),
          entry("crc-32/iso-hdlc", 0xCBF43926L),
          entry("crc-32/jamcrc", 0x340BC6D9L),
          entry("crc-32/mpeg-2", 0x0376E6E7L),
          entry("crc-32/xfer", 0xBD0BE338L));

  @Test
  @DisplayName("every CRC gives the check value of the public catalogue (RevEng, by crc-catalog)")
  void catalogue() {
    assertEquals(CATALOGUE.keySet(), CrcCatalogue.byName().keySet());
    CATALOGUE.forEach(
        (name, check) -> assertEquals(check, CrcCatalogue.byName().get(name).of(NINE), name));
  }

  @Test
  @DisplayName("CRC-32/ISO-HDLC and ISCSI are Java's CRC32 and CRC32C over random bytes")
  void againstJava() {
    long seed = new Random().nextLong();
    Random random = new Random(seed);
    for (int i = 0; i < 500; i++) {
      byte[] bytes = new byte[random.nextInt(100)];
      random.nextBytes(bytes);
      assertEquals(of(new CRC32(), bytes), crc("crc-32/iso-hdlc", bytes), "seed " + seed);
      assertEquals(of(new CRC32C(), bytes), crc("crc-32/iscsi", bytes), "seed " + seed);
    }
  }

  private static long of(Checksum checksum, byte[] bytes) {
    checksum.update(bytes, 0, bytes.length);
    return checksum.getValue();
  }

  private static long crc(String name, byte[] bytes) {
    return CrcCatalogue.byName().get(name).of(bytes);
  }

  @Test
  @DisplayName("Modbus RTU's 01 03 00 00 00 0A has CDC5, on the line C5 CD (a textbook frame)")
  void modbus() {
    long value = crc("crc-16/modbus", new byte[] {1, 3, 0, 0, 0, 10});
    assertEquals(0xCDC5, value);
    CheckWriting binary = new CheckWriting(CheckWriting.Form.BINARY, 2, 2, true, 0xFFFF, 0);
    assertEquals("\\xC5\\xCD", Bytes.written(binary.write(value)));
    CheckWriting hex = new CheckWriting(CheckWriting.Form.HEX, 2, 4, false, 0xFFFF, 0);
    assertEquals("CDC5", Bytes.written(hex.write(value)));
  }

  @Test
  @DisplayName("IEC 62056-21: SOH B 0 ETX has the BCC q (its published break message)")
  void iec62056() {
    assertEquals('q', new CheckKind.Xor(0).of(new byte[] {'B', '0', 3}));
  }

  @Test
  @DisplayName("sums: plain, ones' and twos' complement, masked and moved into what can be printed")
  void sums() {
    byte[] bytes = {(byte) 0xFF, 2, 1};
    assertEquals(0x02, new CheckKind.Sum(8, CheckKind.Complement.NONE).of(bytes));
    assertEquals(0x0102, new CheckKind.Sum(16, CheckKind.Complement.NONE).of(bytes));
    assertEquals(0xFD, new CheckKind.Sum(8, CheckKind.Complement.ONES).of(bytes));
    assertEquals(0xFE, new CheckKind.Sum(8, CheckKind.Complement.TWOS).of(bytes));
    CheckWriting printed = new CheckWriting(CheckWriting.Form.BINARY, 1, 1, false, 0x3F, 0x20);
    assertEquals("\"", new String(printed.write(0x82), StandardCharsets.US_ASCII));
    CheckWriting decimal = new CheckWriting(CheckWriting.Form.DECIMAL, 1, 3, false, 0xFF, 0);
    assertEquals("002", new String(decimal.write(2), StandardCharsets.US_ASCII));
  }

  private static final String NMEA =
      """
      driver: nmea
      version: 1
      about: sentences as NMEA 0183 has them
      lines: {start: "$", end: CR LF}
      check: {kind: xor, mark: "*"}
      rules:
        - match: "(?<head>[A-Z]{5}),?(?<rest>.*)"
          reading:
            values: [{quantity: length, from: rest, unit: 1, dropped: [never]}]
        - {match: ".*", ignore: true}
      """;

  @ParameterizedTest
  @ValueSource(
      strings = {
        "$GPGGA,123519,4807.038,N,01131.000,E,1,08,0.9,545.4,M,46.9,M,,*47",
        "$GPRMC,123519,A,4807.038,N,01131.000,E,022.4,084.4,230394,003.1,W*6A",
        "$GPGSA,A,3,04,05,,09,12,,,24,,,,,2.5,1.3,2.1*39",
        "$GPGLL,4916.45,N,12311.12,W,225444,A,*1D",
        "$APHDG,323.5,,,,*5F",
        "$APHDM,323.5,M*34"
      })
  @DisplayName("NMEA 0183: published sentences pass, and none with one bit turned over")
  void nmea(String sentence) throws Exception {
    assertEquals(List.of(FaultCode.FRAME_SYNTAX), faults(sentence)); // whole, but no number
    int star = sentence.indexOf('*');
    String small = sentence.substring(0, star) + sentence.substring(star).toLowerCase(Locale.ROOT);
    assertEquals(List.of(FaultCode.FRAME_SYNTAX), faults(small), "small digits are heard too");
    for (int at = 1; at < sentence.indexOf('*'); at++) {
      char[] damaged = sentence.toCharArray();
      damaged[at] = (char) (damaged[at] ^ 1);
      assertEquals(List.of(FaultCode.FRAME_CHECK), faults(new String(damaged)));
    }
  }

  @Test
  @DisplayName("NMEA 0183: 47.0 in place of 46.9 gives 4F, not 47 (a published negative vector)")
  void nmeaNegative() throws Exception {
    String wrong = "$GPGGA,123519,4807.038,N,01131.000,E,1,08,0.9,545.4,M,47.0,M,,*47";
    Played played = Played.of(NMEA);
    played.arrives(wrong + "\r\n");
    assertEquals(
        "a damaged line was discarded: it states 47, the bytes give 4F as its check value",
        played.faults.get(0).getMessage());
  }

  private static List<FaultCode> faults(String sentence) throws Exception {
    Played played = Played.of(NMEA);
    played.arrives(sentence + "\r\n");
    return played.faultCodes();
  }
}
