package org.tallywire.simulator.wire;

import static org.junit.jupiter.api.Assertions.assertArrayEquals;
import static org.junit.jupiter.api.Assertions.assertEquals;
import static org.junit.jupiter.api.Assertions.assertFalse;
import static org.junit.jupiter.api.Assertions.assertTrue;

import java.nio.charset.StandardCharsets;
import org.junit.jupiter.api.Test;

/** Sampling of 8N1 frames, worked out by hand. */
class WrongSpeedTest {

  private static final byte[] LINE = ">beat*1063\n".getBytes(StandardCharsets.US_ASCII);

  @Test
  void atTheSameSpeedEverythingIsHeard() {
    byte[] all = new byte[256];
    for (int i = 0; i < all.length; i++) {
      all[i] = (byte) i;
    }
    assertArrayEquals(all, WrongSpeed.heard(all, 115200, 115200));
  }

  @Test
  void atHalfAndDoubleSpeedAByteBecomesAnotherThatCanBeWorkedOut() {
    // 0x55: low, then 1 0 1 0 1 0 1 0, then high for good. At half the speed the middle of start
    // bit is at 1.0 = high, a glitch; from the next low bits likewise, until the idle line.
    assertEquals(0, WrongSpeed.heard(new byte[] {0x55}, 115200, 57600).length);
    // 0x00 at half the speed: low for 9 bits; looked at in 1, 3, 5, 7, 9, ...: start and
    // bits 0 to 2 low, the rest high: F8.
    assertArrayEquals(new byte[] {(byte) 0xF8}, WrongSpeed.heard(new byte[] {0x00}, 115200, 57600));
    // 0xFF at double speed: start low for two bits: start and bit 0 low, the rest high: FE.
    assertArrayEquals(
        new byte[] {(byte) 0xFE}, WrongSpeed.heard(new byte[] {(byte) 0xFF}, 57600, 115200));
  }

  @Test
  void noLineSurvivesACommonWrongSpeed() {
    for (int baud : new int[] {300, 9600, 19200, 38400, 57600, 230400, 921600}) {
      String heard = new String(WrongSpeed.heard(LINE, 115200, baud), StandardCharsets.ISO_8859_1);
      assertFalse(heard.contains("beat"), baud + ": " + heard);
    }
    assertTrue(WrongSpeed.heard(LINE, 115200, 230400).length >= LINE.length);
  }
}
