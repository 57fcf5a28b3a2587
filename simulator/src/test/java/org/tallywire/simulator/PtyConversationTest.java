package org.tallywire.simulator;

import static org.junit.jupiter.api.Assertions.assertArrayEquals;
import static org.junit.jupiter.api.Assertions.assertEquals;
import static org.junit.jupiter.api.Assertions.assertFalse;
import static org.junit.jupiter.api.Assertions.assertThrows;
import static org.junit.jupiter.api.Assertions.assertTrue;

import java.io.FileInputStream;
import java.io.FileOutputStream;
import java.io.IOException;
import java.nio.charset.Charset;
import java.nio.charset.StandardCharsets;
import java.nio.file.Files;
import java.nio.file.LinkOption;
import java.nio.file.Path;
import java.util.ArrayList;
import java.util.Arrays;
import java.util.List;
import java.util.Optional;
import java.util.concurrent.TimeUnit;
import org.awaitility.Awaitility;
import org.junit.jupiter.api.AfterEach;
import org.junit.jupiter.api.Test;
import org.junit.jupiter.api.condition.EnabledOnOs;
import org.junit.jupiter.api.condition.OS;
import org.junit.jupiter.api.io.TempDir;
import org.tallywire.simulator.face.Line;
import org.tallywire.simulator.face.LineCodec;
import org.tallywire.simulator.wire.PseudoTerminal;
import org.tallywire.simulator.wire.PtyWire;
import org.tallywire.simulator.wire.WrongSpeed;

/** The instrument at a real pseudo-terminal, its far end opened as any program would. */
@EnabledOnOs(OS.LINUX)
class PtyConversationTest {

  private static final int ALL = 21;
  private static final Charset UTF = StandardCharsets.UTF_8;

  @TempDir Path folder;

  private TestFleet fleet;

  @AfterEach
  void switchOff() {
    if (fleet != null) {
      fleet.close();
    }
  }

  private Path start(String... more) throws Exception {
    List<String> arguments = new ArrayList<>(List.of("--pace=200", "--boot=b1"));
    arguments.addAll(List.of(more));
    fleet = TestFleet.start(arguments.toArray(new String[0]));
    return nextPath();
  }

  private Path nextPath() throws InterruptedException {
    String address = fleet.address();
    assertTrue(address.startsWith("pty /dev/"), address);
    return Path.of(address.substring("pty ".length()));
  }

  @SuppressWarnings("StreamResourceLeak")
  private static TestBridge attach(Path path) throws IOException {
    return new TestBridge(new FileInputStream(path.toFile()), new FileOutputStream(path.toFile()));
  }

  private static void setSpeed(Path path, int baud) throws Exception {
    Process stty =
        new ProcessBuilder("stty", "-F", path.toString(), Integer.toString(baud))
            .redirectErrorStream(true)
            .start();
    assertTrue(stty.waitFor(5, TimeUnit.SECONDS));
    assertEquals(0, stty.exitValue(), new String(stty.getInputStream().readAllBytes(), UTF));
  }

  @Test
  void aWholeRunIsToldAndAcknowledged() throws Exception {
    Path path = start("--beat=500");
    try (TestBridge bridge = attach(path)) {
      assertEquals("b1", bridge.await("start").fields().get("boot"));
      String boot = bridge.open(1, 0, 8);
      bridge.take(boot, 1, ALL);
      Line beat = bridge.await("beat");
      assertEquals("21", beat.fields().get("last"));
      assertEquals("0", beat.fields().get("held"));
      fleet.close();
      Awaitility.await().until(bridge::ended);
    }
  }

  @Test
  void aBridgeThatStartsAgainGetsWhatItHadNotAcknowledged() throws Exception { // L-24
    Path path = start("--beat=500");
    try (TestBridge bridge = attach(path)) {
      String boot = bridge.open(1, 0, 4);
      bridge.await(line -> "4".equals(line.fields().get("seq")));
      bridge.ack(boot, 2, 4);
      bridge.await(line -> "6".equals(line.fields().get("seq")));
      bridge.open(1, 2, 8);
      Line third = bridge.await("reading");
      assertEquals("3", third.fields().get("seq"));
      assertEquals("1", third.fields().get("resent"));
      bridge.ack(boot, 3, 8);
      bridge.take(boot, 4, ALL);
      fleet.close();
    }
  }

  @Test
  void noiseOnTheLineHurtsNothing() throws Exception { // L-7
    long seed = System.nanoTime() % 1_000_000;
    Path path = start("--noise", "--beat=200", "--seed=" + seed);
    try (TestBridge bridge = attach(path)) {
      String boot = bridge.open(1, 0, 8);
      bridge.take(boot, 1, ALL);
      fleet.close();
    } catch (AssertionError failed) {
      throw new AssertionError("noise seed " + seed, failed);
    }
  }

  @Test
  void pullingTheCableHangsUpAndTheLinkLeadsToTheNewPort() throws Exception {
    Path link = folder.resolve("tester");
    start("--unplug-after=5", "--link=" + link, "--beat=500");
    String boot;
    try (TestBridge bridge = attach(link)) {
      boot = bridge.open(1, 0, 8);
      bridge.take(boot, 1, 4);
      Awaitility.await().until(bridge::ended);
      String heard = new String(bridge.raw(), StandardCharsets.US_ASCII);
      // A hang-up may take with it what a slow reader has not read yet, so less can be there.
      String broken = heard.substring(heard.lastIndexOf('\n') + 1);
      String fifth = "!reading boot=b1 seq=5 at=";
      assertTrue(broken.startsWith(fifth) || fifth.startsWith(broken), heard);
      assertFalse(heard.contains(fifth) && broken.isEmpty(), "the line broke off: " + heard);
      assertFalse(Files.exists(link, LinkOption.NOFOLLOW_LINKS), "no port, no name");
    }
    Path again = nextPath();
    assertEquals(again, Files.readSymbolicLink(link));
    try (TestBridge bridge = attach(link)) {
      assertEquals(boot, bridge.open(1, 4, 8), "the instrument kept its power: same boot id");
      Line fifth = bridge.await("reading");
      assertEquals("5", fifth.fields().get("seq"));
      assertEquals("1", fifth.fields().get("resent"));
      bridge.ack(boot, 5, 8);
      bridge.take(boot, 6, ALL);
      fleet.close();
    }
    assertFalse(Files.exists(link, LinkOption.NOFOLLOW_LINKS));
  }

  @Test
  void atAnotherSpeedBothSidesHearGarbage() throws Exception {
    byte[] line = LineCodec.encode(new Line('!', "beat").with("boot", "b1")).getBytes(UTF);
    byte[] into = new byte[100];
    try (PtyWire wire = new PtyWire(Optional.empty())) {
      wire.plugIn();
      Path path = Path.of(wire.address().substring("pty ".length()));
      @SuppressWarnings("resource")
      TestBridge bridge = attach(path);
      setSpeed(path, 57600);
      byte[] garbage = WrongSpeed.heard(line, 115200, 57600);
      assertTrue(garbage.length > 5, "garbage of " + garbage.length + " bytes");
      wire.write(line, 0, line.length);
      Awaitility.await().until(() -> bridge.raw().length == garbage.length);
      assertArrayEquals(garbage, bridge.raw());
      bridge.say(new Line('>', "beat"));
      assertEquals(0, wire.read(into, 5000), "not heard, but taken from the line");
      setSpeed(path, 115200);
      assertEquals(0, wire.read(into, 50));
      bridge.say(new Line('>', "beat"));
      int count = wire.read(into, 5000);
      assertEquals(">beat*1063\n", new String(into, 0, count, UTF));
      wire.write(line, 0, line.length);
      assertEquals("b1", bridge.await("beat").fields().get("boot"));
      wire.unplug();
      Awaitility.await().until(bridge::ended);
    }
  }

  @Test
  void bytesLeaveNoFasterThanTheLineCarriesThem() throws Exception {
    try (PtyWire wire = new PtyWire(Optional.empty())) {
      wire.plugIn();
      Path path = Path.of(wire.address().substring("pty ".length()));
      byte[] bytes = new byte[2304];
      Arrays.fill(bytes, (byte) 'U');
      @SuppressWarnings("resource")
      TestBridge bridge = attach(path);
      long begin = System.nanoTime();
      wire.write(bytes, 0, bytes.length);
      double seconds = (System.nanoTime() - begin) / 1e9;
      // 2304 bytes of 10 bits at 115200 baud: 0.2 s.
      assertTrue(seconds >= 0.2 && seconds < 0.6, "took " + seconds);
      Awaitility.await().until(() -> bridge.raw().length == bytes.length);
      assertArrayEquals(bytes, bridge.raw());
      wire.unplug();
      Awaitility.await().until(bridge::ended);
    }
  }

  @Test
  void nobodyReadingMeansLostBytesNotAStandstill() throws Exception {
    try (PseudoTerminal terminal = PseudoTerminal.open()) {
      byte[] bytes = new byte[1000];
      long taken = 0;
      for (int i = 0; i < 200; i++) {
        taken += terminal.write(bytes, 0, bytes.length);
      }
      assertTrue(taken >= 4000 && taken < 200_000, "taken " + taken);
      assertEquals(0, terminal.write(bytes, 0, bytes.length));
      assertEquals(115200, terminal.baud());
    }
  }

  @Test
  void aFileInTheLinksPlaceIsLeftAlone() throws Exception {
    Path file = Files.writeString(folder.resolve("precious"), "text");
    try (PtyWire wire = new PtyWire(Optional.of(file))) {
      IOException refused = assertThrows(IOException.class, wire::plugIn);
      assertTrue(refused.getMessage().contains("left alone"), refused.getMessage());
    }
    assertEquals(List.of("text"), Files.readAllLines(file));
  }
}
