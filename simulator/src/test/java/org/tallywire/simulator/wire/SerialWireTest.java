package org.tallywire.simulator.wire;

import static org.awaitility.Awaitility.await;
import static org.junit.jupiter.api.Assertions.assertEquals;
import static org.junit.jupiter.api.Assertions.assertFalse;
import static org.junit.jupiter.api.Assertions.assertThrows;
import static org.junit.jupiter.api.Assertions.assertTrue;

import java.io.IOException;
import java.nio.charset.StandardCharsets;
import java.nio.file.Files;
import java.nio.file.Path;
import java.time.Duration;
import java.util.ArrayList;
import java.util.List;
import java.util.Random;
import org.junit.jupiter.api.Test;
import org.junit.jupiter.api.condition.EnabledOnOs;
import org.junit.jupiter.api.condition.OS;
import org.junit.jupiter.api.io.TempDir;

/** A serial port, which is here the far end of a real pseudo-terminal. */
@EnabledOnOs(OS.LINUX)
class SerialWireTest {

  @TempDir Path folder;

  private final List<String> remarks = new ArrayList<>();
  private final byte[] into = new byte[4096];

  private SerialWire wire(String port) {
    return new SerialWire(SerialSettings.of(port, 9600, "8N1"), remarks::add);
  }

  @Test
  void bytesGoBothWaysAtTheSpeedThatIsSet() throws IOException {
    byte[] bytes = new byte[2000];
    new Random(7).nextBytes(bytes);
    try (PseudoTerminal other = PseudoTerminal.open();
        SerialWire wire = wire(other.path())) {
      assertFalse(wire.attached());
      wire.plugIn();
      assertTrue(wire.attached());
      assertEquals("serial " + other.path(), wire.address());
      assertEquals(9600, other.baud());
      wire.write(bytes, 0, bytes.length);
      assertEquals(text(bytes, bytes.length), collected(other, bytes.length));
      assertEquals(bytes.length, other.write(bytes, 0, bytes.length));
      StringBuilder heard = new StringBuilder();
      while (heard.length() < bytes.length) {
        int count = wire.read(into, 2000);
        assertTrue(count > 0, "no more after " + heard.length());
        heard.append(text(into, count));
      }
      assertEquals(text(bytes, bytes.length), heard.toString());
      assertEquals(List.of(), remarks);
    }
  }

  private static String text(byte[] bytes, int length) {
    return new String(bytes, 0, length, StandardCharsets.ISO_8859_1);
  }

  private String collected(PseudoTerminal from, int length) throws IOException {
    StringBuilder all = new StringBuilder();
    long deadline = System.nanoTime() + 5_000_000_000L;
    while (all.length() < length && System.nanoTime() - deadline < 0) {
      all.append(text(into, from.read(into, 100)));
    }
    return all.toString();
  }

  @Test
  void readingWaitsAsLongAsItIsToldAndNotInTheLibrarysSteps() throws IOException {
    try (PseudoTerminal other = PseudoTerminal.open();
        SerialWire wire = wire(other.path())) {
      wire.plugIn();
      assertEquals(0, wire.read(into, 0));
      // a busy machine makes some of them late, but the library's steps of 100 ms make all so
      long shortest = Long.MAX_VALUE;
      for (int i = 0; i < 10; i++) {
        long begin = System.nanoTime();
        assertEquals(0, wire.read(into, 10));
        shortest = Math.min(shortest, System.nanoTime() - begin);
      }
      double seconds = shortest / 1e9;
      assertTrue(seconds >= 0.01 && seconds < 0.09, "10 ms took " + seconds + " s");
    }
  }

  @Test
  void aPortThatVanishesIsToldOnceAndOpenedAgain() throws IOException {
    Path link = folder.resolve("port");
    PseudoTerminal first = PseudoTerminal.open();
    Files.createSymbolicLink(link, Path.of(first.path()));
    try (SerialWire wire = wire(link.toString())) {
      wire.plugIn();
      first.close();
      Files.delete(link);
      assertEquals(-1, wire.read(into, 2000));
      assertFalse(wire.attached());
      assertEquals(0, wire.read(into, 0));
      wire.write(new byte[10], 0, 10);
      try (PseudoTerminal second = PseudoTerminal.open()) {
        Files.createSymbolicLink(link, Path.of(second.path()));
        await()
            .atMost(Duration.ofMinutes(1))
            .until(() -> wire.read(into, 50) == 0 && wire.attached());
        wire.write("back".getBytes(StandardCharsets.US_ASCII), 0, 4);
        assertEquals("back", collected(second, 4));
        wire.unplug();
        assertFalse(wire.attached());
        wire.plugIn();
        assertTrue(wire.attached());
      }
    }
    assertEquals(
        List.of(
            "its serial port %s is gone; it is opened again when that works".formatted(link),
            "its serial port %s is open again".formatted(link)),
        remarks.subList(0, 2));
  }

  @Test
  void aPortThatTakesNothingHoldsUpForTwoSecondsAndNoLonger() throws IOException {
    try (PseudoTerminal other = PseudoTerminal.open();
        SerialWire wire = wire(other.path())) {
      wire.plugIn();
      long begin = System.nanoTime();
      wire.write(new byte[200_000], 0, 200_000);
      double seconds = (System.nanoTime() - begin) / 1e9;
      assertTrue(seconds >= 2 && seconds < 20, "took " + seconds + " s");
      assertTrue(remarks.get(0).contains("takes nothing for 2000 ms"), remarks.toString());
      assertEquals(1, remarks.size(), remarks.toString());
      assertEquals(-1, wire.read(into, 0));
      await()
          .atMost(Duration.ofMinutes(1))
          .until(() -> wire.read(into, 50) == 0 && wire.attached());
    }
  }

  @Test
  void whatCannotBeOpenedIsSaidInASentence() throws Exception {
    assertRefused("there is no serial port /dev/ttyNONE9", "/dev/ttyNONE9");
    Path file = Files.writeString(folder.resolve("notes"), "text");
    assertRefused("is no serial port", file.toString());
    try (PseudoTerminal other = PseudoTerminal.open();
        SerialWire holder = wire(other.path())) {
      holder.plugIn();
      assertRefused("another program has it open", other.path());
    }
  }

  private void assertRefused(String words, String port) {
    try (SerialWire wire = wire(port)) {
      IOException refused = assertThrows(IOException.class, wire::plugIn);
      assertTrue(refused.getMessage().contains(words), refused.getMessage());
      assertFalse(wire.attached());
    }
  }

  @Test
  void settingsAreReadInTheUsualShortForm() {
    SerialSettings settings = SerialSettings.of("/dev/ttyUSB0", 19_200, "7e2");
    assertEquals(
        new SerialSettings("/dev/ttyUSB0", 19_200, 7, SerialSettings.Parity.EVEN, 2), settings);
    assertEquals("/dev/ttyUSB0 at 19200 baud, 7E2", settings.toString());
    for (String wrong : List.of("", "8N", "9N1", "8X1", "8N3", "8N1 ")) {
      IllegalArgumentException refused =
          assertThrows(
              IllegalArgumentException.class, () -> SerialSettings.of("/dev/ttyS0", 9600, wrong));
      assertTrue(refused.getMessage().contains("8N1"), refused.getMessage());
    }
    assertThrows(IllegalArgumentException.class, () -> SerialSettings.of(" ", 9600, "8N1"));
    assertThrows(IllegalArgumentException.class, () -> SerialSettings.of("COM1", 49, "8N1"));
  }
}
