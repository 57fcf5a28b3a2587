package org.tallywire.meter62056;

import static org.junit.jupiter.api.Assertions.assertEquals;
import static org.junit.jupiter.api.Assertions.assertTrue;

import java.nio.charset.StandardCharsets;
import java.util.Random;
import org.junit.jupiter.api.DisplayName;
import org.junit.jupiter.api.Test;
import org.tallywire.api.Reading;
import org.tallywire.api.Value;

/** What the check character catches, and what it does not. */
class MeterDamageTest {

  private static final String DATA =
      Line.message("0.0.0(12345678)\r\n1.8.0(000581.161*kWh)\r\n32.7.0(0230.0*V)\r\n");
  private static final String IDENTIFIED = "/XYZ METER-1\r\n";

  private static Line after(String data) throws Exception {
    Line line = new Line(Line.settings());
    line.arrive(IDENTIFIED + data);
    return line;
  }

  /** The next sign-on is answered without damage. */
  private static void goesOn(Line line, String what) throws Exception {
    int before = line.host.readings().size();
    line.host.takeSent();
    for (int i = 0; i < 3 && line.host.takeSent().isEmpty(); i++) {
      line.untilDue();
    }
    line.arrive(IDENTIFIED + DATA);
    assertEquals(before + 1, line.host.readings().size(), what);
  }

  @Test
  @DisplayName("BCC: no single flipped bit gives a reading, and the next readout is whole")
  void singleFlips() throws Exception {
    for (int i = 0; i < DATA.length(); i++) {
      for (int bit = 0; bit < 7; bit++) {
        byte[] bytes = Line.bytes(DATA);
        bytes[i] ^= (byte) (1 << bit);
        Line line = after(new String(bytes, StandardCharsets.ISO_8859_1));
        String what = "byte %d, bit %d".formatted(i, bit);
        assertEquals(0, line.host.readings().size(), what);
        goesOn(line, what);
      }
    }
  }

  @Test
  @DisplayName("BCC: three flips of the same bit column are caught too")
  void oddColumns() throws Exception {
    long seed = new Random().nextLong();
    Random random = new Random(seed);
    for (int round = 0; round < 500; round++) {
      byte[] bytes = Line.bytes(DATA);
      int bit = random.nextInt(4); // makes no start or end of these digits
      for (int flip = 0; flip < 3; flip++) {
        bytes[25 + 2 * flip + (flip == 2 ? random.nextInt(3) : 0)] ^= (byte) (1 << bit);
      }
      assertEquals(
          0,
          after(new String(bytes, StandardCharsets.ISO_8859_1)).host.readings().size(),
          "seed " + seed);
    }
  }

  @Test
  @DisplayName("What an XOR misses: the same bit flipped twice, and characters that change places")
  void missed() throws Exception {
    Reading twice = after(DATA.replace("581.161", "491.161")).host.readings().get(0);
    assertEquals("491.161", number(twice), "5 to 4 and 8 to 9 flip the lowest bit twice");
    Reading swapped = after(DATA.replace("581.161", "851.161")).host.readings().get(0);
    assertEquals("851.161", number(swapped));
  }

  private static String number(Reading reading) {
    return ((Value.Measured) reading.values().get(0)).text();
  }

  @Test
  @DisplayName("Cut short, with noise, or with another message in it: no reading, and on it goes")
  void pieces() throws Exception {
    for (int length = 0; length < DATA.length(); length++) {
      Line line = after(DATA.substring(0, length));
      assertEquals(0, line.host.readings().size());
      goesOn(line, "cut to %d".formatted(length));
    }
    Line noisy = after("\u0000\u00ff\u0007x\r\n" + DATA);
    assertEquals(1, noisy.host.readings().size());
    assertTrue(!noisy.faults.isEmpty());
  }
}
