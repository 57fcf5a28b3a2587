package org.tallywire.publish;

import static org.awaitility.Awaitility.await;
import static org.junit.jupiter.api.Assertions.assertEquals;
import static org.junit.jupiter.api.Assertions.assertFalse;
import static org.junit.jupiter.api.Assertions.assertThrows;
import static org.junit.jupiter.api.Assertions.assertTrue;

import java.nio.charset.StandardCharsets;
import java.nio.file.Path;
import java.time.Duration;
import java.util.ArrayList;
import java.util.HexFormat;
import java.util.List;
import java.util.concurrent.CopyOnWriteArrayList;
import org.junit.jupiter.api.AfterEach;
import org.junit.jupiter.api.BeforeEach;
import org.junit.jupiter.api.Test;
import org.junit.jupiter.api.Timeout;
import org.junit.jupiter.api.io.TempDir;
import org.tallywire.api.TimeSource;
import org.tallywire.journal.Draft;
import org.tallywire.journal.Journal;
import org.tallywire.journal.JournalEntry;
import org.tallywire.journal.JournalException;
import org.tallywire.journal.JournalView;
import org.tallywire.publish.FakeBroker.Manner;

/** A range of the journal can be had again, beside a bridge that runs. */
@Timeout(60)
class ReplayTest {

  private static final Duration SOON = Duration.ofSeconds(20);
  private static final String SITE = "shop/invented~20site/";

  @TempDir Path folder;
  private Journal journal;
  private JournalView view;
  private final Heard heard = new Heard();
  private final List<Long> progress = new CopyOnWriteArrayList<>();

  @BeforeEach
  void open() throws Exception {
    journal = Journal.open(folder.resolve("journal"), TimeSource.system());
    view = JournalView.open(folder.resolve("journal"));
  }

  @AfterEach
  void close() {
    view.close();
    journal.close();
  }

  private Replay replay(int port, Duration patience) {
    return new Replay(
        view, Bench.address(port), Bench.TALLY, TimeSource.system(), Bench.HASTY, patience);
  }

  private Replay.Outcome run(int port, long from, long to) throws Exception {
    return replay(port, SOON).run(from, to, (position, published) -> progress.add(position));
  }

  @Test
  void theSameBytesComeAgainBesideARunningBridge() throws Exception {
    Mosquitto.require();
    try (Mosquitto broker = Mosquitto.start(folder, Mosquitto.freePort());
        Publisher publisher = Bench.publisher(journal, Bench.address(broker.port()), heard)) {
      publisher.start();
      Bench.append(journal, "a", 200);
      assertTrue(publisher.awaitDelivered(200, SOON));
      try (Subscriber subscriber = Subscriber.start(broker.port(), SITE + "#")) {
        assertEquals(new Replay.Outcome(141, 150, List.of(), ""), run(broker.port(), 10, 150));
        List<JournalEntry> entries = journal.read(9, 141);
        List<String> expected = new ArrayList<>();
        for (JournalEntry entry : entries) {
          expected.add(
              SITE
                  + entry.station()
                  + "/"
                  + entry.kind()
                  + " "
                  + HexFormat.of().formatHex(entry.payload()));
        }
        await().atMost(Duration.ofMinutes(1)).until(() -> subscriber.messages().size() == 141 + 3);
        List<String> received = new ArrayList<>();
        List<Ledger.Tally> tallies = new ArrayList<>();
        for (Subscriber.Message message : subscriber.messages()) {
          assertFalse(message.retained());
          if (message.topic().equals(Ledger.TALLY_TOPIC)) {
            tallies.add(Ledger.tally(HexFormat.of().parseHex(message.hex())));
          } else {
            received.add(message.topic() + " " + message.hex());
          }
        }
        assertEquals(expected, received);
        Ledger.requireCovered(tallies, entries, List.of());
      }
      assertEquals(150, progress.get(progress.size() - 1));
      assertEquals(200, journal.cursor("publisher"));
      assertEquals(1, heard.count(BrokerState.CONNECTED), "the bridge keeps its connection");
    }
  }

  @Test
  void itGoesOnWhereItWasAfterALoss() throws Exception {
    Bench.append(journal, "a", 400);
    try (FakeBroker broker =
        FakeBroker.start(
            n -> n > 2 ? Manner.good() : Manner.good().thatEndsAtPublish(150, false))) {
      assertEquals(400, run(broker.port(), 1, 400).published());
      Ledger.requireWhole(broker, journal.read(0, 500), List.of());
      assertEquals(3, broker.connections());
      // again goes what is behind the last acknowledged tally: at most its 64 and a window of 64
      int again = 2 * (64 + 64 + 2);
      assertTrue(broker.messages().size() < 400 + 400 / 64 + 1 + again, "began anew");
    }
  }

  /** What lies on the shelf is tried: the broker may have another limit by now. */
  @Test
  void theShelfIsTriedAndWhatIsNotTakenIsReturned() throws Exception {
    Bench.append(journal, "a", 50);
    journal.append(List.of(new Draft("b", "reading", "x".repeat(65), Bench.UP)), List.of());
    journal.shelve("publisher", 7, "too large for the broker of then");
    try (FakeBroker broker =
        FakeBroker.start(
            n ->
                Manner.good()
                    .thatCannotBear(
                        m ->
                            new String(m.payload(), StandardCharsets.UTF_8)
                                .contains("\"id\":\"a-9\"")))) {
      Replay.Outcome outcome = run(broker.port(), 1, 51);
      assertEquals("", outcome.stopped());
      assertEquals(49, outcome.published());
      assertEquals(
          List.of(9L, 51L),
          outcome.unpublished().stream().map(Replay.Unpublished::position).toList());
      assertTrue(outcome.unpublished().get(0).reason().contains("max_packet_size"));
      Ledger.requireWhole(broker, journal.read(0, 60), List.of(9L, 51L));
      assertEquals(1, journal.shelf().size(), "a replay marks nothing");
    }
  }

  @Test
  void aBrokerThatRefusesOrSaysNothingEndsIt() throws Exception {
    Bench.append(journal, "a", 5);
    try (FakeBroker broker = FakeBroker.start(n -> Manner.refuses(5))) {
      Replay.Outcome outcome = run(broker.port(), 1, 5);
      assertTrue(outcome.stopped().contains("(code 5)"), outcome.toString());
      assertEquals(0, outcome.published());
    }
    try (FakeBroker broker = FakeBroker.start(n -> Manner.good().thatNeverAcknowledges())) {
      Replay.Outcome outcome =
          replay(broker.port(), Duration.ofMillis(300)).run(2, 5, (position, published) -> {});
      assertTrue(outcome.stopped().contains("nothing was acknowledged for"), outcome.toString());
      assertEquals(1, outcome.reached());
    }
  }

  /** What retention removes on the way is no part of what was accepted. */
  @Test
  void itStopsBeforeWhatIsRemovedMeanwhile() throws Exception {
    int all = 6_000;
    Bench.append(journal, "a", all);
    long cut = 5_900;
    try (FakeBroker broker = FakeBroker.start(n -> Manner.good())) {
      Replay.Outcome outcome =
          replay(broker.port(), SOON).run(1, all, (position, published) -> removeTo(cut));
      assertEquals(cut, journal.anchor().position());
      assertTrue(
          outcome
              .stopped()
              .contains("positions %d to %d were removed".formatted(outcome.reached() + 1, cut)),
          outcome.toString());
      assertTrue(outcome.reached() < cut, outcome.toString());
      assertEquals(outcome.reached(), outcome.published());
    }
  }

  private void removeTo(long position) {
    try {
      journal.cut(position, TimeSource.system().now().plusSeconds(3_600));
    } catch (JournalException e) {
      throw new AssertionError(e);
    }
  }

  @Test
  void aRangeThatIsNotThereIsRefused() throws Exception {
    Bench.append(journal, "a", 5);
    for (long[] range : new long[][] {{0, 3}, {3, 2}, {1, 6}}) {
      IllegalArgumentException refused =
          assertThrows(IllegalArgumentException.class, () -> run(1, range[0], range[1]));
      assertTrue(refused.getMessage().contains("the journal holds 1 to 5"), refused.getMessage());
    }
  }
}
