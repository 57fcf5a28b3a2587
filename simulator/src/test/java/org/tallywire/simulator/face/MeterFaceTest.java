package org.tallywire.simulator.face;

import static org.junit.jupiter.api.Assertions.assertEquals;
import static org.junit.jupiter.api.Assertions.assertFalse;
import static org.junit.jupiter.api.Assertions.assertTrue;

import java.nio.charset.StandardCharsets;
import java.util.Optional;
import java.util.Random;
import org.junit.jupiter.api.DisplayName;
import org.junit.jupiter.api.Test;
import org.tallywire.simulator.face.InstrumentFace.Outgoing;

/** The energy meter: IEC 62056-21 from memory and from public notes, as its Javadoc says. */
class MeterFaceTest {

  private static final long MILLI = 1_000_000;

  private long now;

  private static MeterFace face(MeterFace.Mode mode) {
    return new MeterFace("SIM-0007", mode, new Random(7));
  }

  private void hears(MeterFace face, String text) {
    byte[] bytes = text.getBytes(StandardCharsets.US_ASCII);
    face.received(bytes, bytes.length, now);
  }

  /** Lets it have its reaction time; returns what it says then, empty if nothing. */
  private String says(MeterFace face, int reactionMillis) {
    now += reactionMillis * MILLI - 1;
    assertEquals(Optional.empty(), face.next(now), "before its reaction time has passed");
    now += 1;
    return face.next(now).map(Outgoing::text).orElse("");
  }

  private static void assertChecked(String message) {
    assertTrue(message.startsWith("\u0002") && message.contains("!\r\n\u0003"), message);
    int check = 0;
    for (int i = 1; i < message.length(); i++) {
      check ^= message.charAt(i);
    }
    assertEquals(0, check, "the check character undoes the XOR of what is behind STX");
  }

  @Test
  @DisplayName("Mode C: identification at 300 baud, the data at 9600 once that is agreed to")
  void modeC() {
    MeterFace face = face(MeterFace.Mode.C);
    assertFalse(face.asked());
    hears(face, "/?!\r\n");
    assertEquals("/XYz5PRETEND\r\n", says(face, 20));
    assertEquals(300, face.baud());
    hears(face, "\u0006050\r\n");
    assertEquals(300, face.baud());
    String data = says(face, 20);
    assertEquals(9_600, face.baud());
    assertChecked(data);
    assertTrue(data.contains("0.0.0(0007)\r\n"), data);
    assertTrue(face.asked());
    hears(face, "\u0015");
    assertEquals(data, says(face, 20), "NAK: the same again");
    now += 1_500 * MILLI + data.length() * 10L * 1_000_000_000 / 9_600;
    assertEquals(Optional.empty(), face.next(now));
    assertEquals(300, face.baud());
  }

  @Test
  @DisplayName("Mode C, nothing agreed to: the data comes at 300 baud after a second and a half")
  void nothingAgreed() {
    MeterFace face = face(MeterFace.Mode.C);
    hears(face, "/?7!\r\n");
    String identification = says(face, 20);
    now += 1_500 * MILLI + identification.length() * 10L * 1_000_000_000 / 300;
    assertEquals(Optional.empty(), face.next(now));
    assertChecked(says(face, 20));
    assertEquals(300, face.baud());
  }

  @Test
  @DisplayName("Mode A: everything at 300 baud, and only its own address counts")
  void modeA() {
    MeterFace face = face(MeterFace.Mode.A);
    hears(face, "/?0008!\r\n");
    assertEquals(Long.MAX_VALUE, face.untilNext(now));
    hears(face, "xx/?00007!\r\n");
    String all = says(face, 200);
    assertTrue(all.startsWith("/XYZ PRETEND\r\n\u0002"), all);
    assertChecked(all.substring(all.indexOf('\u0002')));
    assertEquals(300, face.baud());
  }

  @Test
  @DisplayName("It can be read only, not programmed; NAK without a message is passed over")
  void refused() {
    MeterFace face = face(MeterFace.Mode.C);
    hears(face, "\u0015\u0006050\r\n");
    assertEquals(Long.MAX_VALUE, face.untilNext(now));
    hears(face, "/?!\r\n");
    says(face, 20);
    hears(face, "\u0006051\r\n");
    assertEquals("", says(face, 20));
  }
}
