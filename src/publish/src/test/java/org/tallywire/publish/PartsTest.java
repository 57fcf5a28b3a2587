package org.tallywire.publish;

import static org.junit.jupiter.api.Assertions.assertEquals;
import static org.junit.jupiter.api.Assertions.assertFalse;
import static org.junit.jupiter.api.Assertions.assertThrows;
import static org.junit.jupiter.api.Assertions.assertTrue;

import java.net.SocketException;
import java.time.Duration;
import java.util.ArrayList;
import java.util.Collections;
import java.util.List;
import java.util.Optional;
import java.util.Random;
import java.util.SplittableRandom;
import javax.net.ssl.SSLException;
import org.junit.jupiter.api.Test;
import org.junit.jupiter.params.ParameterizedTest;
import org.junit.jupiter.params.provider.CsvSource;
import org.junit.jupiter.params.provider.ValueSource;

/** The pieces that need no broker. */
class PartsTest {

  /**
   * MQTT 3.1.1, 4.7: plus, hash, slash and NUL have a meaning in topics; a dollar starts others.
   */
  @ParameterizedTest
  @CsvSource({
    "bay-1_A, bay-1_A",
    "'a/b', a~2Fb",
    "'+', ~2B",
    "'#', ~23",
    "'$SYS', ~24SYS",
    "'a~2Fb', a~7E2Fb",
    "'ü', ~C3~BC"
  })
  void aLevelIsEscapedReversibly(String station, String level) {
    assertEquals("r/s/" + level + "/reading", new Topics("r", "s").of(station, "reading"));
  }

  @Test
  void aTopicIsBounded() {
    Topics topics = new Topics("r", "s");
    assertEquals("r/s/~00/x", topics.of("\0", "x"));
    assertEquals(4 + 64 + 2, topics.of("a".repeat(64), "x").length());
    assertThrows(IllegalArgumentException.class, () -> topics.of("a".repeat(65), "x"));
    assertThrows(IllegalArgumentException.class, () -> topics.of("", "x"));
    assertThrows(IllegalArgumentException.class, () -> topics.of("\uD800", "x"));
    assertThrows(IllegalArgumentException.class, () -> topics.of("/".repeat(64), "/".repeat(64)));
    assertThrows(IllegalArgumentException.class, () -> new Topics("", "s"));
  }

  @ParameterizedTest
  @ValueSource(
      strings = {
        "mqtts://h:8883",
        "ssl://h:8883",
        "tcp://h",
        "tcp://h:0",
        "tcp://h:1883/x",
        "h:1883",
        "tcp:// h:1883",
        "tcp://h:70000"
      })
  void anAddressThatIsNotPlainTcpIsRefused(String uri) {
    IllegalArgumentException refused =
        assertThrows(IllegalArgumentException.class, () -> address(uri, Optional.empty()));
    assertTrue(refused.getMessage().contains(uri), refused.getMessage());
  }

  @Test
  void anAddressWithAPasswordInItIsRefusedAndNotShown() {
    IllegalArgumentException refused =
        assertThrows(
            IllegalArgumentException.class,
            () -> address("mqtts://u:invented@h:1883", Optional.empty()));
    assertFalse(refused.toString().contains("invented"), refused.toString());
  }

  /** The words of java.net and of JSSE (sun.security.ssl) for a connection that the peer ended. */
  @ParameterizedTest
  @CsvSource({
    "Connection reset, true",
    "Broken pipe, true",
    "Connection or outbound has been closed, true",
    "Socket output is already shutdown, true",
    "Socket closed, false",
    "No route to host, false"
  })
  void anEndIsToldFromOurOwnEndAndFromAnAbsentNetwork(String words, boolean ended) {
    assertEquals(ended, BrokerException.from("lost", new SocketException(words)).ended());
    assertEquals(ended, BrokerException.from("lost", new SSLException(words)).ended());
  }

  @Test
  void aPasswordDoesNotShowAndNeedsAName() {
    Secret secret = new Secret("invented".toCharArray());
    BrokerAddress address =
        new BrokerAddress("tcp://h:1883", "c", Optional.of("u"), Optional.of(secret), "r", "s");
    assertFalse(address.toString().contains("invented"), address.toString());
    assertTrue(address.toString().contains("***"), address.toString());
    assertThrows(
        IllegalArgumentException.class, () -> address("tcp://h:1883", Optional.of(secret)));
  }

  @Test
  void pausesDoubleToALimitWithJitter() {
    BackOff backOff = new BackOff(Pace.USUAL, new SplittableRandom(1));
    long whole = 500;
    for (int i = 0; i < 12; i++) {
      long pause = backOff.next().toMillis();
      assertTrue(pause >= whole / 2 && pause <= whole, pause + " ms of " + whole);
      whole = Math.min(whole * 2, 30_000);
    }
    assertEquals(30_000, whole);
    backOff.reset();
    assertTrue(backOff.next().compareTo(Duration.ofMillis(500)) <= 0);
  }

  /** Acknowledgements may come in any order; the cursor must not pass one that is missing. */
  @Test
  void theWindowKnowsTheWholePrefixInAnyOrder() {
    long seed = System.nanoTime();
    System.out.println("PartsTest seed " + seed);
    Random random = new Random(seed);
    for (int round = 0; round < 200; round++) {
      Window window = new Window(10);
      List<Window.Slot> slots = new ArrayList<>();
      List<Integer> order = new ArrayList<>();
      int count = 1 + random.nextInt(20);
      for (int i = 0; i < count; i++) {
        slots.add(window.add(tally(11 + i), 0));
        order.add(i);
      }
      Collections.shuffle(order, random);
      boolean[] done = new boolean[count];
      for (int i : order) {
        window.done(slots.get(i));
        done[i] = true;
        int prefix = 0;
        while (prefix < count && done[prefix]) {
          prefix++;
        }
        assertEquals(10 + prefix, window.prefix(), "seed " + seed + " order " + order);
      }
      assertTrue(window.isEmpty());
    }
  }

  private static Outgoing tally(long position) {
    return new Outgoing(Outgoing.Kind.TALLY, position, "r/s/bridge/tally", new byte[1], false);
  }

  private static BrokerAddress address(String uri, Optional<Secret> password) {
    return new BrokerAddress(uri, "c", Optional.empty(), password, "r", "s");
  }
}
