package org.tallywire.publish;

import static org.awaitility.Awaitility.await;
import static org.junit.jupiter.api.Assertions.assertEquals;
import static org.junit.jupiter.api.Assertions.assertFalse;
import static org.junit.jupiter.api.Assertions.assertTrue;

import java.nio.charset.StandardCharsets;
import java.nio.file.Path;
import java.time.Duration;
import java.util.List;
import java.util.SplittableRandom;
import java.util.concurrent.atomic.AtomicInteger;
import java.util.concurrent.atomic.AtomicReference;
import java.util.function.Predicate;
import org.junit.jupiter.api.AfterEach;
import org.junit.jupiter.api.BeforeEach;
import org.junit.jupiter.api.Test;
import org.junit.jupiter.api.Timeout;
import org.junit.jupiter.api.io.TempDir;
import org.tallywire.api.TimeSource;
import org.tallywire.journal.Draft;
import org.tallywire.journal.Journal;
import org.tallywire.journal.Shelved;
import org.tallywire.publish.FakeBroker.Manner;

/** What a broker does not take is put aside and holds up nothing else. */
@Timeout(90)
class ShelfTest {

  private static final Duration SOON = Duration.ofSeconds(45);

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

  private static Predicate<FakeBroker.Message> holds(String... ids) {
    return message -> {
      String text = new String(message.payload(), StandardCharsets.UTF_8);
      return !message.topic().equals(Ledger.TALLY_TOPIC)
          && List.of(ids).stream().anyMatch(id -> text.contains("\"" + id + "\""));
    };
  }

  @Test
  void theRecordsAtWhichABrokerEndsTheConnectionAreShelvedAndNoOthers() throws Exception {
    Predicate<FakeBroker.Message> bad = holds("a-37", "a-38", "a-200");
    try (FakeBroker broker = FakeBroker.start(n -> Manner.good().thatCannotBear(bad));
        Publisher publisher = start(broker)) {
      Bench.append(journal, "a", 300);
      assertTrue(publisher.awaitDelivered(300, SOON));
      assertEquals(List.of(37L, 38L, 200L), positions());
      Ledger.requireWhole(broker, journal.read(0, 400), positions());
      String reason = journal.shelf().get(0).reason();
      assertTrue(reason.contains("3 times right behind the record at journal position 37"), reason);
      assertTrue(reason.contains("bytes, topic \"shop/invented~20site/bay-1/reading\""), reason);
      assertTrue(reason.contains("max_packet_size"), reason);
      assertEquals(3, publisher.standing().shelved());
      // a second process with our client id would not be looking for the same record
      assertFalse(heard.said("another process"), heard.toString());
      // at full speed again: one tally for many
      Bench.append(journal, "b", 128);
      assertTrue(publisher.awaitDelivered(428, SOON));
      List<Ledger.Tally> tallies = Ledger.tallies(broker);
      assertEquals(64, tallies.get(tallies.size() - 1).ids().size());
    }
    // a restart knows the shelf
    try (FakeBroker broker = FakeBroker.start(n -> Manner.good());
        Publisher publisher = start(broker)) {
      Bench.append(journal, "c", 1);
      assertTrue(publisher.awaitDelivered(429, SOON));
      assertEquals(3, publisher.standing().shelved());
    }
  }

  /** States that become due all the time must not keep messages going one at a time for ever. */
  @Test
  void underLoadItGoesAtFullSpeedAgain() throws Exception {
    AtomicInteger ends = new AtomicInteger();
    AtomicReference<Publisher> started = new AtomicReference<>();
    Predicate<FakeBroker.Message> fourTimes =
        message -> {
          Publisher publisher = started.get();
          if (publisher != null && !message.topic().endsWith("/state")) {
            publisher.publishState(Publisher.BRIDGE, Bench.UP);
            publisher.publishState("bay-1", Bench.UP);
          }
          return holds("a-7").test(message) && ends.incrementAndGet() <= 4;
        };
    try (FakeBroker broker = FakeBroker.start(n -> Manner.good().thatCannotBear(fourTimes));
        Publisher publisher = start(broker)) {
      started.set(publisher);
      Bench.append(journal, "a", 400);
      assertTrue(publisher.awaitDelivered(400, SOON));
      assertEquals(List.of(), positions());
      assertTrue(ends.get() > 4, "the record went in the end");
      List<Ledger.Tally> tallies = Ledger.tallies(broker);
      long ones = tallies.stream().filter(tally -> tally.ids().size() == 1).count();
      assertTrue(ones < 200, ones + " tallies of one record");
    }
  }

  @Test
  void aBrokerThatIsWeakAsWellGetsOnlyTheBadOneShelved() throws Exception {
    long seed = System.nanoTime();
    System.out.println("ShelfTest seed " + seed);
    SplittableRandom random = new SplittableRandom(seed);
    try (FakeBroker broker =
            FakeBroker.start(
                n ->
                    Manner.good()
                        .thatCannotBear(holds("a-20"))
                        .thatEndsByChance(0.01, random.split()));
        Publisher publisher = start(broker)) {
      Bench.append(journal, "a", 60);
      assertTrue(publisher.awaitDelivered(60, SOON), () -> publisher.standing().toString());
      assertEquals(List.of(20L), positions());
      Ledger.requireWhole(broker, journal.read(0, 400), positions());
    }
  }

  /** mosquitto.conf(5), max_packet_size: a client that sends a larger packet is disconnected. */
  @Test
  void mosquittosLargestPacketShelvesOneRecordAndMakesTalliesSmaller() throws Exception {
    Mosquitto.require();
    List<String> lines = List.of("allow_anonymous true", "max_packet_size 700");
    try (Mosquitto broker = Mosquitto.start(folder, Mosquitto.freePort(), lines);
        Subscriber subscriber = Subscriber.start(broker.port(), "shop/#");
        Publisher publisher =
            Bench.publisher(journal, Bench.address(broker.port()), heard, Bench.HASTY)) {
      // the state is too large as well; nothing of it may loop
      publisher.publishState(Publisher.BRIDGE, new byte[1000]);
      Bench.append(journal, "a", 100);
      journal.append(List.of(new Draft("large", "reading", "bay-1", new byte[900])), List.of());
      Bench.append(journal, "b", 200);
      publisher.start();
      assertTrue(publisher.awaitDelivered(301, SOON), () -> publisher.standing().toString());
      assertEquals(List.of(101L), positions());
      await()
          .atMost(Duration.ofMinutes(1))
          .until(
              () ->
                  subscriber.messages().stream()
                          .filter(message -> message.topic().contains("/bay-"))
                          .map(Subscriber.Message::hex)
                          .distinct()
                          .count()
                      == 300);
      publisher.publishState(Publisher.BRIDGE, Bench.UP);
      await()
          .atMost(Duration.ofMinutes(1))
          .until(
              () ->
                  subscriber.messages().stream()
                      .anyMatch(message -> message.topic().endsWith("bridge/state")));
    }
  }

  @Test
  void aTallyThatIsTooLargeGetsSmallerAndStaysSo() throws Exception {
    try (FakeBroker broker =
            FakeBroker.start(
                n ->
                    Manner.good()
                        .thatCannotBear(
                            m ->
                                m.topic().equals(Ledger.TALLY_TOPIC) && m.payload().length > 400));
        Publisher publisher = start(broker)) {
      Bench.append(journal, "a", 1500);
      assertTrue(publisher.awaitDelivered(1500, SOON));
      assertEquals(List.of(), positions());
      Ledger.requireWhole(broker, journal.read(0, 2000), List.of());
      assertTrue(broker.connections() < 20, broker.connections() + " connections");
    }
  }

  @Test
  void aBrokerThatTakesNoTallyIsTold() throws Exception {
    try (FakeBroker broker =
            FakeBroker.start(
                n -> Manner.good().thatCannotBear(m -> m.topic().equals(Ledger.TALLY_TOPIC)));
        Publisher publisher = start(broker)) {
      Bench.append(journal, "a", 3);
      await().atMost(SOON).until(() -> heard.count(BrokerState.REFUSED) >= 2);
      String sentence = heard.sentence(BrokerState.REFUSED);
      assertTrue(sentence.contains("the tally up to journal position 1"), sentence);
      assertTrue(sentence.contains("nothing counts as accepted"), sentence);
      assertEquals(0, publisher.standing().accepted());
      assertEquals(List.of(), positions());
    }
  }

  /** A network that is away, or a broker that says nothing, is no reason to shelve anything. */
  @Test
  void silenceShelvesNothing() throws Exception {
    Pace pace =
        new Pace(
            Duration.ofMillis(2),
            Duration.ofMillis(10),
            Duration.ofMillis(100),
            Duration.ofMillis(500),
            Duration.ofMillis(60),
            Duration.ofSeconds(1),
            Duration.ofMillis(20));
    try (FakeBroker broker = FakeBroker.start(n -> Manner.good().thatNeverAcknowledges());
        Publisher publisher = Bench.publisher(journal, Bench.address(broker.port()), heard, pace)) {
      Bench.append(journal, "a", 3);
      publisher.start();
      await().atMost(SOON).until(() -> broker.connections() > 12);
      assertEquals(List.of(), positions());
      assertFalse(heard.heard(BrokerState.REFUSED));
    }
  }

  private Publisher start(FakeBroker broker) {
    Publisher publisher =
        Bench.publisher(journal, Bench.address(broker.port()), heard, Bench.HASTY);
    publisher.publishState(Publisher.BRIDGE, Bench.UP);
    publisher.start();
    return publisher;
  }

  private List<Long> positions() throws Exception {
    return journal.shelf().stream().map(Shelved::position).toList();
  }
}
