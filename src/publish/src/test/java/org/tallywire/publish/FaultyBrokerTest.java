package org.tallywire.publish;

import static org.awaitility.Awaitility.await;
import static org.junit.jupiter.api.Assertions.assertEquals;
import static org.junit.jupiter.api.Assertions.assertTrue;

import java.nio.file.Path;
import java.time.Duration;
import java.util.List;
import java.util.Set;
import java.util.SplittableRandom;
import java.util.function.IntFunction;
import java.util.stream.Stream;
import org.junit.jupiter.api.AfterEach;
import org.junit.jupiter.api.BeforeEach;
import org.junit.jupiter.api.Test;
import org.junit.jupiter.api.Timeout;
import org.junit.jupiter.api.io.TempDir;
import org.junit.jupiter.params.ParameterizedTest;
import org.junit.jupiter.params.provider.Arguments;
import org.junit.jupiter.params.provider.MethodSource;
import org.junit.jupiter.params.provider.ValueSource;
import org.tallywire.api.TimeSource;
import org.tallywire.journal.Journal;
import org.tallywire.publish.FakeBroker.Manner;

/** Whatever a broker does, all records arrive in order, and no good one is put on the shelf. */
@Timeout(7200)
class FaultyBrokerTest {

  /** How many connections a broker misbehaves for; more of them with the property. */
  private static final int MANY = Integer.getInteger("tallywire.connections", 8);

  private static final Duration SOON = Duration.ofSeconds(45 + 2L * MANY);
  private static final Pace IMPATIENT =
      new Pace(
          Duration.ofMillis(2),
          Duration.ofMillis(10),
          Duration.ofMillis(50),
          Duration.ofMillis(700),
          Duration.ofMillis(1000),
          Duration.ofSeconds(1),
          Duration.ofMillis(60));

  @TempDir Path folder;
  private Journal journal;
  private final Heard heard = new Heard();

  @BeforeEach
  void open() throws Exception {
    journal = Journal.open(folder.resolve("journal"), TimeSource.system());
  }

  @AfterEach
  void close() {
    journal.close();
  }

  private static Arguments manner(String name, IntFunction<Manner> script) {
    return Arguments.of(name, script);
  }

  static Stream<Arguments> manners() {
    return Stream.of(
        manner("late", n -> Manner.good().thatAcknowledgesAfter(Duration.ofMillis(30))),
        manner("twice", n -> Manner.good().thatAcknowledgesTwice()),
        manner("slow", n -> Manner.good().thatReads(100_000)),
        manner("drops, not acknowledged", n -> n > 4 ? Manner.good() : end(n * 17, false)),
        manner("drops, acknowledged", n -> n > 4 ? Manner.good() : end(n * 17, true)),
        manner("half", n -> n > 3 ? Manner.good() : Manner.good().thatAcknowledgesByHalfAt(n * 9)),
        manner("half an answer", n -> n > 3 ? Manner.good() : Manner.answersByHalf()),
        manner("not available", n -> n > 3 ? Manner.good() : Manner.refuses(3)),
        manner("refusing", n -> n > 2 ? Manner.good() : Manner.refuses(5)),
        manner("silent", n -> n > 1 ? Manner.good() : Manner.silent()),
        manner("mute", n -> n > 1 ? Manner.good() : Manner.good().thatNeverAcknowledges()));
  }

  private static Manner end(int publish, boolean acknowledged) {
    return Manner.good().thatEndsAtPublish(publish, acknowledged);
  }

  @ParameterizedTest(name = "{0}")
  @MethodSource("manners")
  void everythingArrivesInOrderWithTallies(String name, IntFunction<Manner> script)
      throws Exception {
    requireAll(script, 300);
  }

  /** Tallies are needed for progress, and a connection that lives short must still allow it. */
  @Test
  void aBrokerThatEndsConnectionsByChanceGetsAllInTime() throws Exception {
    long seed = System.nanoTime();
    System.out.println("FaultyBrokerTest chance seed " + seed);
    SplittableRandom random = new SplittableRandom(seed);
    requireAll(n -> Manner.good().thatEndsByChance(0.06, random.split()), 60);
  }

  /** It may be unbearable for many connections; nothing is blamed on a record. */
  @ParameterizedTest
  @ValueSource(doubles = {0.02, 0.3, 0.8})
  void noGoodRecordIsShelvedByChance(double chance) throws Exception {
    long seed = System.nanoTime();
    System.out.println("FaultyBrokerTest never-shelved seed " + seed);
    SplittableRandom random = new SplittableRandom(seed);
    requireAll(
        n -> n > MANY ? Manner.good() : Manner.good().thatEndsByChance(chance, random.split()),
        100);
  }

  /** The first trial takes 60 ms, the second 150, the third 360. */
  @ParameterizedTest
  @ValueSource(ints = {1, 30, 61, 151, 361})
  void noGoodRecordIsShelvedByABrokerThatEndsEveryConnectionAfterATime(int millis)
      throws Exception {
    Duration life = Duration.ofMillis(millis);
    requireAll(n -> n > MANY ? Manner.good() : Manner.good().thatLives(life), 100);
  }

  /** 11, 21 and 31 hit what is sent behind the probes of one of the trials. */
  @ParameterizedTest
  @ValueSource(ints = {1, 2, 11, 21, 31})
  void noGoodRecordIsShelvedByABrokerThatEndsEveryConnectionAfterMessages(int publish)
      throws Exception {
    requireAll(n -> n > MANY ? Manner.good() : end(publish, n % 2 == 0), 60);
  }

  /** MQTT 3.1.1 lets a broker end the connection where it will not grant something. */
  @Test
  void aBrokerThatEndsConnectionsAtTheSubscriptionStillGetsRecords() throws Exception {
    try (FakeBroker broker = FakeBroker.start(n -> Manner.good().thatEndsAtSubscribe());
        Publisher publisher =
            Bench.publisher(
                journal, Bench.address(broker.port(), Set.of("a")), heard, Bench.HASTY)) {
      Bench.append(journal, "a", 100);
      publisher.start();
      assertTrue(publisher.awaitDelivered(100, SOON));
      Ledger.requireWhole(broker, journal.read(0, 200), List.of());
      assertTrue(broker.connections() < 8, broker.connections() + " connections");
      assertEquals(List.of(), journal.shelf());
    }
  }

  @Test
  void aSentenceSaysThatConnectionsEndAtOnceAsWithTwoProcesses() throws Exception {
    try (FakeBroker broker = FakeBroker.start(n -> Manner.good().thatLives(Duration.ofMillis(20)));
        Publisher publisher =
            Bench.publisher(journal, Bench.address(broker.port()), heard, Bench.HASTY)) {
      publisher.start();
      await()
          .atMost(Duration.ofMinutes(1))
          .until(
              () -> heard.said("another process may be using client id \"test-" + broker.port()));
    }
  }

  private void requireAll(IntFunction<Manner> script, int count) throws Exception {
    try (FakeBroker broker = FakeBroker.start(script);
        Publisher publisher =
            Bench.publisher(journal, Bench.address(broker.port()), heard, IMPATIENT)) {
      publisher.publishState(Publisher.BRIDGE, Bench.UP);
      publisher.publishState("bay-1", Bench.UP);
      Bench.append(journal, "a", count);
      publisher.start();
      assertTrue(
          publisher.awaitDelivered(count, SOON),
          () -> publisher.standing() + " after " + broker.connections() + " connections");
      assertEquals(List.of(), journal.shelf());
      assertEquals(count, journal.cursor("publisher"));
      Ledger.requireWhole(broker, journal.read(0, count + 1), List.of());
    }
  }
}
