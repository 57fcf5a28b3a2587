package org.tallywire.simulator;

import static org.junit.jupiter.api.Assertions.assertEquals;
import static org.junit.jupiter.api.Assertions.assertFalse;
import static org.junit.jupiter.api.Assertions.assertTrue;

import java.io.FileInputStream;
import java.io.FileOutputStream;
import java.io.IOException;
import java.nio.charset.StandardCharsets;
import java.nio.file.Files;
import java.nio.file.LinkOption;
import java.nio.file.Path;
import java.time.Duration;
import java.util.ArrayList;
import java.util.List;
import org.awaitility.Awaitility;
import org.junit.jupiter.api.AfterEach;
import org.junit.jupiter.api.Test;
import org.junit.jupiter.api.condition.EnabledOnOs;
import org.junit.jupiter.api.condition.OS;
import org.junit.jupiter.api.io.TempDir;
import org.tallywire.simulator.face.Line;

/** The instrument at a real pseudo-terminal, its far end opened as any program would. */
@EnabledOnOs(OS.LINUX)
class PtyConversationTest {

  private static final int ALL = 21;

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
      Awaitility.await().atMost(Duration.ofMinutes(1)).until(bridge::ended);
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
      Awaitility.await().atMost(Duration.ofMinutes(1)).until(bridge::ended);
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
}
