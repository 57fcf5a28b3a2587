package org.tallywire.publish;

import static org.awaitility.Awaitility.await;
import static org.junit.jupiter.api.Assertions.assertEquals;
import static org.junit.jupiter.api.Assertions.assertThrows;
import static org.junit.jupiter.api.Assertions.assertTrue;

import java.nio.file.Path;
import java.time.Duration;
import java.util.LinkedHashMap;
import java.util.List;
import java.util.Map;
import java.util.function.Supplier;
import org.junit.jupiter.api.AfterEach;
import org.junit.jupiter.api.BeforeEach;
import org.junit.jupiter.api.Test;
import org.junit.jupiter.api.Timeout;
import org.junit.jupiter.api.io.TempDir;
import org.tallywire.api.TimeSource;
import org.tallywire.journal.Journal;

/** A broker that is there and says nothing: every wait ends, and no thread is left behind. */
@Timeout(120)
class SilenceTest {

  private static final Duration LATE = Duration.ofSeconds(60);

  private static final Pace IMPATIENT =
      new Pace(
          Duration.ofMillis(20),
          Duration.ofMillis(40),
          Duration.ofMillis(300),
          Duration.ofMillis(900),
          Duration.ofMillis(300),
          Duration.ofSeconds(1),
          Duration.ofMillis(100));

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

  @Test
  void aPeerThatNeverAnswersIsUnreachableAndLeavesNoThreads() throws Exception {
    requireNoThreadsLeft(FakeBroker.Manner.silent(), 2);
    String sentence = heard.sentence(BrokerState.UNREACHABLE);
    assertTrue(sentence.contains("no answer within 900 ms"), sentence);
  }

  /** Port forwarders do this for a broker that is not there. */
  @Test
  void aPeerThatHangsUpAtOnceLeavesNoThreads() throws Exception {
    requireNoThreadsLeft(FakeBroker.Manner.hangsUp(), 3);
  }

  private void requireNoThreadsLeft(FakeBroker.Manner manner, int attempts) throws Exception {
    try (FakeBroker broker = FakeBroker.start(n -> manner)) {
      Publisher publisher =
          Bench.publisher(journal, Bench.address(broker.port()), heard, IMPATIENT);
      publisher.start();
      // closed in the middle of a further attempt
      await().atMost(LATE).until(() -> broker.connections() > attempts);
      publisher.close();
      publisher.close();
      assertTrue(heard.count(BrokerState.UNREACHABLE) >= attempts);
      requireNoThreadsOf(publisher, "test-" + broker.port());
    }
  }

  /**
   * P12, P13: whatever way a connection ends, the library leaves nothing behind. The library itself
   * takes three tenths of a second to connect, so that half of the publishers give up while the
   * broker's welcome comes in.
   */
  @Test
  void twoHundredConnectionsLeaveNoThreads() throws Exception {
    List<Supplier<FakeBroker.Manner>> manners =
        List.of(
            FakeBroker.Manner::silent,
            FakeBroker.Manner::hangsUp,
            FakeBroker.Manner::answersByHalf,
            () -> FakeBroker.Manner.refuses(5),
            () -> FakeBroker.Manner.good().thatNeverAcknowledges(),
            () -> FakeBroker.Manner.good().thatEndsAtPublish(1, false),
            () -> FakeBroker.Manner.good().thatAcknowledgesByHalfAt(2),
            () -> FakeBroker.Manner.good().thatLives(Duration.ofMillis(5)));
    try (FakeBroker broker = FakeBroker.start(n -> manners.get(n % manners.size()).get())) {
      Bench.append(journal, "a", 5);
      Map<String, Publisher> publishers = new LinkedHashMap<>();
      for (int i = 0; i < 16; i++) {
        String clientId = "silence-" + broker.port() + "-" + i;
        BrokerAddress address = Bench.address(broker.port(), clientId);
        Publisher publisher =
            Bench.publisher(journal, address, heard, hasty(i % 2 == 0 ? 300 : 600));
        publisher.start();
        publishers.put(clientId, publisher);
      }
      await().atMost(Duration.ofSeconds(100)).until(() -> broker.connections() > 200);
      publishers.values().parallelStream().forEach(Publisher::close);
      publishers.forEach((clientId, publisher) -> requireNoThreadsOf(publisher, clientId));
    }
  }

  private static Pace hasty(int connectMillis) {
    return new Pace(
        Duration.ofMillis(1),
        Duration.ofMillis(2),
        Duration.ofMillis(2),
        Duration.ofMillis(connectMillis),
        Duration.ofMillis(60),
        Duration.ofSeconds(1),
        Duration.ofMillis(20));
  }

  /** A busy machine may end them late, but end they must. */
  private static void requireNoThreadsOf(Publisher publisher, String clientId) {
    await().atMost(LATE).until(() -> mqttThreads(clientId) == 0 && publisher.leftBehind() == 0);
  }

  @Test
  void aBrokerThatNeverAcknowledgesGetsItAllAgainAndTheCursorStays() throws Exception {
    try (FakeBroker broker =
            FakeBroker.start(n -> FakeBroker.Manner.good().thatNeverAcknowledges());
        Publisher publisher =
            Bench.publisher(journal, Bench.address(broker.port()), heard, IMPATIENT)) {
      Bench.append(journal, "a", 100);
      publisher.start();
      // 64 is the window; a second connection sends the same again, not the next
      await().atMost(LATE).until(() -> broker.connections() >= 3);
      assertEquals(0, publisher.published() % 64);
      assertTrue(publisher.published() >= 128, publisher.published() + " published");
      assertEquals(0, publisher.acknowledged());
      assertEquals(0, journal.cursor("publisher"));
      assertTrue(heard.heard(BrokerState.CONNECTED));
    }
  }

  @Test
  void closingIsShortAlsoWithoutAStartAndEndsWaiters() throws Exception {
    Publisher publisher = Bench.publisher(journal, Bench.address(Mosquitto.freePort()), heard);
    publisher.close();
    Bench.append(journal, "a", 1);
    long start = System.nanoTime();
    assertEquals(false, publisher.awaitDelivered(1, Duration.ofSeconds(20)));
    assertTrue(Duration.ofNanos(System.nanoTime() - start).toSeconds() < 10);
    assertThrows(IllegalStateException.class, publisher::start);
  }

  private static long mqttThreads(String clientId) {
    return Thread.getAllStackTraces().keySet().stream()
        .filter(
            thread -> thread.getName().startsWith("MQTT") && thread.getName().endsWith(clientId))
        .count();
  }
}
