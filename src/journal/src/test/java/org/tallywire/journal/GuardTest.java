package org.tallywire.journal;

import static org.junit.jupiter.api.Assertions.assertEquals;
import static org.junit.jupiter.api.Assertions.assertNotEquals;

import java.io.ByteArrayOutputStream;
import java.io.DataOutputStream;
import java.nio.charset.StandardCharsets;
import org.junit.jupiter.api.Test;

/** The rule of shared/journal.md, computed here bit by bit. */
class GuardTest {

  /** RFC 3720, appendix B.4: 32 bytes of zeros have CRC-32C 8a9136aa. */
  @Test
  void theBitwiseSumHereAgreesWithAPublishedValue() {
    assertEquals(0x8a9136aaL, crc32c(new byte[32]));
  }

  @Test
  void everyColumnCountsInItsOwnForm() throws Exception {
    byte[] blob = {1, 2, (byte) 0xff};
    ByteArrayOutputStream bytes = new ByteArrayOutputStream();
    DataOutputStream out = new DataOutputStream(bytes);
    out.writeLong(-5);
    byte[] text = "bay-ü".getBytes(StandardCharsets.UTF_8);
    out.writeInt(text.length);
    out.write(text);
    out.writeInt(blob.length);
    out.write(blob);
    assertEquals(crc32c(bytes.toByteArray()), Guard.of(-5L, "bay-ü", blob));
  }

  @Test
  void whereOneColumnEndsAndTheNextBeginsCounts() {
    assertNotEquals(Guard.of("ab", "c"), Guard.of("a", "bc"));
    assertNotEquals(Guard.of("", "a"), Guard.of("a", ""));
    assertNotEquals(Guard.of((Object) null), Guard.of(""));
  }

  private static long crc32c(byte[] bytes) {
    int crc = -1;
    for (byte each : bytes) {
      crc ^= each & 0xff;
      for (int bit = 0; bit < 8; bit++) {
        crc = (crc >>> 1) ^ ((crc & 1) == 0 ? 0 : 0x82f63b78);
      }
    }
    return ~crc & 0xffffffffL;
  }
}
