package org.tallywire.publish;

import static org.awaitility.Awaitility.await;
import static org.junit.jupiter.api.Assertions.assertEquals;
import static org.junit.jupiter.api.Assertions.assertTrue;

import java.nio.file.Path;
import java.time.Duration;
import java.util.List;
import java.util.Map;
import java.util.Optional;
import java.util.Set;
import java.util.concurrent.TimeUnit;
import org.junit.jupiter.api.AfterEach;
import org.junit.jupiter.api.BeforeEach;
import org.junit.jupiter.api.Test;
import org.junit.jupiter.api.Timeout;
import org.junit.jupiter.api.io.TempDir;
import org.junit.jupiter.params.ParameterizedTest;
import org.junit.jupiter.params.provider.ValueSource;
import org.tallywire.api.TimeSource;
import org.tallywire.journal.Journal;
import org.tallywire.publish.FakeBroker.Manner;

/** What a consumer says it holds is kept, and can do nothing else. */
@Timeout(60)
class ConfirmationsTest {

  private static final Duration SOON = Duration.ofSeconds(20);
  private static final String CONFIRM = "shop/invented~20site/bridge/confirm/";

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

  private Publisher start(int port, Set<String> consumers) {
    Publisher publisher =
        Bench.publisher(journal, Bench.address(port, consumers), heard, Bench.HASTY);
    publisher.start();
    return publisher;
  }

  private byte[] upTo(long position) {
    return Bench.bytes(
        "{\"journal\":\"%s\",\"position\":%d}".formatted(journal.identity(), position));
  }

  @Test
  void aConfirmationThroughARealBrokerBecomesTheConsumersCursor() throws Exception {
    Mosquitto.require();
    try (Mosquitto broker = Mosquitto.start(folder, Mosquitto.freePort());
        Publisher publisher = start(broker.port(), Set.of("archive", "web/shop"))) {
      // one who never confirmed has a cursor, so that retention waits
      assertEquals(0L, journal.cursors().get("consumer:archive"));
      Bench.append(journal, "a", 100);
      assertTrue(publisher.awaitDelivered(100, SOON));
      Process sent =
          new ProcessBuilder(
                  "mosquitto_pub",
                  "-p",
                  Integer.toString(broker.port()),
                  "-q",
                  "1",
                  "-t",
                  CONFIRM + "web~2Fshop",
                  "-m",
                  "{\"position\": 64, \"journal\": \"%s\"}".formatted(journal.identity()))
              .inheritIO()
              .start();
      assertTrue(sent.waitFor(60, TimeUnit.SECONDS));
      assertEquals(0, sent.exitValue());
      await()
          .atMost(Duration.ofMinutes(1))
          .until(() -> publisher.standing().confirmed().get("web/shop") == 64);
      assertEquals(64L, journal.cursors().get("consumer:web/shop"));
      assertEquals(
          new Standing(100, 100, Map.of("archive", 0L, "web/shop", 64L), 0), publisher.standing());
      await()
          .atMost(Duration.ofMinutes(1))
          .until(() -> heard.standings().contains(publisher.standing()));
    }
    // and it is still known after a restart
    try (Publisher again = start(Mosquitto.freePort(), Set.of("web/shop"))) {
      assertEquals(Map.of("web/shop", 64L), again.standing().confirmed());
    }
  }

  @Test
  void whatIsNotAConfirmationHasNoEffectAndIsCounted() throws Exception {
    try (FakeBroker broker = FakeBroker.start(n -> Manner.good());
        Publisher publisher = start(broker.port(), Set.of("archive"))) {
      Bench.append(journal, "a", 10);
      assertTrue(publisher.awaitDelivered(10, SOON));
      broker.send(CONFIRM + "archive", upTo(5));
      await().atMost(Duration.ofMinutes(1)).until(() -> journal.cursor("consumer:archive") == 5);
      List<byte[]> bad =
          List.of(
              upTo(4), // going back
              upTo(11), // never sent
              upTo(999_999_999_999_999_999L),
              Bench.bytes("{\"journal\":\"000000000000\",\"position\":6}"),
              new byte[1025]);
      for (byte[] payload : bad) {
        broker.send(CONFIRM + "archive", payload);
      }
      broker.send(CONFIRM + "stranger", upTo(6));
      broker.send("shop/invented~20site/bay-1/reading", upTo(6));
      await()
          .atMost(Duration.ofMinutes(1))
          .until(() -> publisher.refusedConfirmations() == bad.size() + 2);
      // a repeat of what is known is harmless and not counted
      broker.send(CONFIRM + "archive", upTo(5));
      broker.send(CONFIRM + "archive", upTo(10));
      await().atMost(Duration.ofMinutes(1)).until(() -> journal.cursor("consumer:archive") == 10);
      assertEquals(bad.size() + 2, publisher.refusedConfirmations());
      assertEquals(Map.of("publisher", 10L, "consumer:archive", 10L), journal.cursors());
      assertEquals(1, broker.connections(), "nothing that comes in ends the connection");
    }
  }

  @ParameterizedTest
  @ValueSource(
      strings = {
        "",
        "{}",
        "{\"journal\":\"0123456789ab\"}",
        "{\"journal\":\"0123456789ab\",\"position\":-1}",
        "{\"journal\":\"0123456789ab\",\"position\":01}",
        "{\"journal\":\"0123456789ab\",\"position\":1.0}",
        "{\"journal\":\"0123456789ab\",\"position\":1e3}",
        "{\"journal\":\"0123456789ab\",\"position\":\"1\"}",
        "{\"journal\":\"0123456789ab\",\"position\":1234567890123456789}",
        "{\"journal\":\"0123456789AB\",\"position\":1}",
        "{\"journal\":\"0123456789a\",\"position\":1}",
        "{\"journal\":\"0123456789ab\",\"position\":1,\"position\":2}",
        "{\"journal\":\"0123456789ab\",\"position\":1,\"x\":2}",
        "{\"journal\":\"0123456789ab\",\"position\":1,}",
        "{\"journal\":\"0123456789ab\",\"position\":1} x",
        "[{\"journal\":\"0123456789ab\",\"position\":1}]",
        "\uFEFF{\"journal\":\"0123456789ab\",\"position\":1}"
      })
  void onlyTheExactFormIsRead(String text) {
    assertEquals(Optional.empty(), Confirmation.read(Bench.bytes(text)));
  }

  @Test
  void spaceAndOrderAreFree() {
    assertEquals(
        Optional.of(new Confirmation("0123456789ab", 0)),
        Confirmation.read(
            Bench.bytes(" {\n\t\"position\" : 0 ,\r\n \"journal\":\"0123456789ab\" } ")));
  }

  /** A consumer is often quicker than the broker's acknowledgement to us. */
  @Test
  void aConfirmationThatIsAheadOfTheAcknowledgementWaitsForIt() throws Exception {
    Manner late = Manner.good().thatAcknowledgesAfter(Duration.ofMillis(400));
    try (FakeBroker broker = FakeBroker.start(n -> late);
        Publisher publisher = start(broker.port(), Set.of("archive"))) {
      Bench.append(journal, "a", 5);
      await().atMost(Duration.ofMinutes(1)).until(() -> !Ledger.tallies(broker).isEmpty());
      broker.send(CONFIRM + "archive", upTo(5));
      assertEquals(0, publisher.standing().accepted());
      await().atMost(Duration.ofMinutes(1)).until(() -> journal.cursor("consumer:archive") == 5);
      assertEquals(5, publisher.standing().accepted());
      assertEquals(0, publisher.refusedConfirmations());
    }
  }

  /** MQTT 3.1.1, table 3.9.3: 0x80 is failure. */
  @Test
  void aRefusedSubscriptionIsToldAndRecordsGoOn() throws Exception {
    try (FakeBroker broker = FakeBroker.start(n -> Manner.good().thatGrants(0x80));
        Publisher publisher = start(broker.port(), Set.of("archive"))) {
      await()
          .atMost(Duration.ofMinutes(1))
          .until(() -> heard.said("refuses the subscription to \"" + CONFIRM + "+\""));
      Bench.append(journal, "a", 5);
      assertTrue(publisher.awaitDelivered(5, SOON));
      assertEquals(1, broker.connections());
    }
  }

  /** P7: a flood fills a queue of ours that is bounded, and acknowledgements are still read. */
  @Test
  void aFloodIsDroppedAndRecordsGoOn() throws Exception {
    try (FakeBroker broker = FakeBroker.start(n -> Manner.good());
        Publisher publisher = start(broker.port(), Set.of("archive"))) {
      Bench.append(journal, "a", 10);
      assertTrue(publisher.awaitDelivered(10, SOON));
      for (int i = 0; i < 3000; i++) {
        broker.send(CONFIRM + "stranger", upTo(6));
      }
      Bench.append(journal, "b", 200);
      assertTrue(publisher.awaitDelivered(210, SOON));
      await().atMost(Duration.ofMinutes(1)).until(() -> publisher.refusedConfirmations() == 3000);
      assertEquals(1, broker.connections());
    }
  }

  @Test
  void howItStandsIsToldOnceASecondAtMost() throws Exception {
    try (FakeBroker broker = FakeBroker.start(n -> Manner.good());
        Publisher publisher = start(broker.port(), Set.of())) {
      long start = System.nanoTime();
      for (int i = 0; i < 40; i++) {
        Bench.append(journal, "a" + i, 10);
        assertTrue(publisher.awaitDelivered(journal.head(), SOON));
      }
      await()
          .atMost(Duration.ofMinutes(1))
          .until(() -> heard.standings().contains(publisher.standing()));
      long seconds = Duration.ofNanos(System.nanoTime() - start).toSeconds();
      assertTrue(heard.standings().size() <= seconds + 2, heard.standings().toString());
    }
  }
}
