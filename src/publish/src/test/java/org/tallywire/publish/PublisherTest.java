package org.tallywire.publish;

import static org.awaitility.Awaitility.await;
import static org.junit.jupiter.api.Assertions.assertEquals;
import static org.junit.jupiter.api.Assertions.assertFalse;
import static org.junit.jupiter.api.Assertions.assertTrue;

import java.nio.charset.StandardCharsets;
import java.nio.file.Path;
import java.sql.Connection;
import java.sql.DriverManager;
import java.sql.SQLException;
import java.sql.Statement;
import java.time.Duration;
import java.util.ArrayList;
import java.util.HexFormat;
import java.util.List;
import java.util.Optional;
import java.util.Set;
import java.util.stream.Collectors;
import java.util.stream.Stream;
import org.junit.jupiter.api.AfterEach;
import org.junit.jupiter.api.BeforeAll;
import org.junit.jupiter.api.BeforeEach;
import org.junit.jupiter.api.Test;
import org.junit.jupiter.api.Timeout;
import org.junit.jupiter.api.io.TempDir;
import org.tallywire.api.TimeSource;
import org.tallywire.journal.Draft;
import org.tallywire.journal.Journal;
import org.tallywire.journal.JournalEntry;
import org.tallywire.journal.Shelved;

/** Promise 1 of the project against a real broker: in order, byte for byte, nothing lost. */
@Timeout(60)
class PublisherTest {

  private static final Duration SOON = Duration.ofSeconds(10);
  private static final Duration LONG = Duration.ofSeconds(30);
  private static final String SITE = "shop/invented~20site/";
  private static final String BRIDGE_STATE = SITE + "bridge/state";

  @TempDir Path folder;
  private Journal journal;
  private final Heard heard = new Heard();

  @BeforeAll
  static void broker() {
    Mosquitto.require();
  }

  @BeforeEach
  void open() throws Exception {
    journal = Journal.open(folder.resolve("journal"), TimeSource.system());
  }

  @AfterEach
  void close() {
    journal.close();
  }

  @Test
  void everyEntryArrivesInOrderByteForByteAndOnceOnly() throws Exception {
    try (Mosquitto broker = Mosquitto.start(folder, Mosquitto.freePort());
        Subscriber subscriber = Subscriber.start(broker.port(), "#")) {
      Bench.append(journal, "before", 300);
      try (Publisher publisher = Bench.publisher(journal, Bench.address(broker.port()), heard)) {
        publisher.start();
        assertTrue(publisher.awaitDelivered(300, SOON));
        Bench.append(journal, "while", 200);
        assertTrue(publisher.awaitDelivered(journal.head(), SOON));
        assertEquals(500, publisher.published());
        assertEquals(500, publisher.acknowledged());
      }
      assertEquals(500, journal.cursor("publisher"));
      try (Publisher again = Bench.publisher(journal, Bench.address(broker.port()), heard)) {
        again.start();
        assertTrue(again.awaitDelivered(500, SOON));
        Bench.append(journal, "after", 1);
        assertTrue(again.awaitDelivered(501, SOON));
        assertEquals(1, again.published(), "what was acknowledged is not sent again");
      }
      await().atMost(Duration.ofMinutes(1)).until(() -> records(subscriber).size() == 501);
      assertEquals(expected(journal.read(0, 1000)), records(subscriber));
    }
  }

  @Test
  void aBrokerThatComesLateGetsEverything() throws Exception {
    int port = Mosquitto.freePort();
    Bench.append(journal, "early", 50);
    try (Publisher publisher = Bench.publisher(journal, Bench.address(port), heard)) {
      publisher.start();
      await().atMost(Duration.ofMinutes(1)).until(() -> heard.count(BrokerState.UNREACHABLE) >= 2);
      String sentence = heard.sentence(BrokerState.UNREACHABLE);
      assertTrue(sentence.contains("tcp://127.0.0.1:" + port), sentence);
      assertTrue(sentence.contains("trying again in"), sentence);
      try (Mosquitto broker = Mosquitto.start(folder, port)) {
        assertEquals(port, broker.port());
        assertTrue(publisher.awaitDelivered(50, SOON));
        assertTrue(heard.heard(BrokerState.CONNECTED));
        assertEquals(50, journal.cursor("publisher"));
      }
    }
  }

  /** The library's own report of what was on its way at a loss proves nothing: it is sent again. */
  @Test
  void aBrokerKilledWithAFullWindowLosesNothing() throws Exception {
    try (Mosquitto first = Mosquitto.start(folder, Mosquitto.freePort());
        Wire wire = new Wire(first.port());
        Subscriber before = Subscriber.start(first.port(), SITE + "#");
        Publisher publisher = Bench.publisher(journal, Bench.address(wire.port()), heard)) {
      publisher.start();
      Bench.append(journal, "a", 150);
      assertTrue(publisher.awaitDelivered(150, SOON));
      await().atMost(Duration.ofMinutes(1)).until(() -> records(before).size() == 150);
      first.freeze();
      Bench.append(journal, "b", 250);
      await().atMost(Duration.ofMinutes(1)).until(() -> publisher.published() == 150 + 64);
      assertEquals(150, publisher.acknowledged());
      assertEquals(150, journal.cursor("publisher"));
      first.kill();
      wire.cut();
      try (Mosquitto second = Mosquitto.start(folder, Mosquitto.freePort());
          Subscriber after = Subscriber.start(second.port(), SITE + "#")) {
        wire.plug(second.port());
        assertTrue(publisher.awaitDelivered(400, SOON));
        assertEquals(400, journal.cursor("publisher"));
        assertEquals(journal.head(), journal.cursor("publisher"));
        await().atMost(Duration.ofMinutes(1)).until(() -> arrived(before, after).size() == 400);
        assertEquals(Set.copyOf(expected(journal.read(0, 1000))), arrived(before, after));
        // all 64 of the window went twice: over the dead connection and again over the new one
        assertEquals(400 + 64, publisher.published());
      }
    }
  }

  @Test
  void aWrongPasswordIsToldAsRefusedAndTheRightOneWorks() throws Exception {
    try (Mosquitto broker =
        Mosquitto.start(folder, Mosquitto.freePort(), "bench", "invented-secret")) {
      Optional<String> user = Optional.of("bench");
      Secret wrong = new Secret("wrong-one".toCharArray());
      BrokerAddress bad = Bench.address(broker.port(), user, Optional.of(wrong));
      Bench.append(journal, "a", 3);
      try (Publisher publisher = Bench.publisher(journal, bad, heard)) {
        publisher.start();
        await().atMost(Duration.ofMinutes(1)).until(() -> heard.count(BrokerState.REFUSED) >= 2);
        String sentence = heard.sentence(BrokerState.REFUSED);
        assertTrue(sentence.contains("user \"bench\""), sentence);
        assertTrue(sentence.contains("(code 5)"), sentence);
        assertFalse(sentence.contains("wrong-one"), sentence);
        assertEquals(0, publisher.published());
        assertFalse(heard.heard(BrokerState.CONNECTED));
      }
      Secret right = new Secret("invented-secret".toCharArray());
      BrokerAddress good = Bench.address(broker.port(), user, Optional.of(right));
      try (Publisher publisher = Bench.publisher(journal, good, heard)) {
        publisher.start();
        assertTrue(publisher.awaitDelivered(3, SOON));
      }
    }
  }

  /**
   * MQTT 3.1.1, MQTT-3.1.2-8: the will is published when the connection ends without DISCONNECT.
   */
  @Test
  @SuppressWarnings("try") // closes the publisher twice, which is harmless
  void theWillTellsOfACutAndStatesAreRetainedAndComeBack() throws Exception {
    try (Mosquitto broker = Mosquitto.start(folder, Mosquitto.freePort());
        Wire wire = new Wire(broker.port());
        Subscriber subscriber = Subscriber.start(broker.port(), BRIDGE_STATE);
        Publisher publisher = Bench.publisher(journal, Bench.address(wire.port()), heard)) {
      publisher.publishState(Publisher.BRIDGE, Bench.DOWN);
      publisher.publishState(Publisher.BRIDGE, Bench.UP);
      publisher.publishState("bay-1", Bench.bytes("{\"state\":\"waiting\"}"));
      publisher.start();
      String up = new String(Bench.UP, StandardCharsets.UTF_8);
      String down = new String(Bench.DOWN, StandardCharsets.UTF_8);
      await().atMost(Duration.ofMinutes(1)).until(() -> texts(subscriber).equals(List.of(up)));
      wire.cut();
      await()
          .atMost(Duration.ofMinutes(1))
          .until(() -> texts(subscriber).equals(List.of(up, down)));
      wire.plug(broker.port());
      await()
          .atMost(Duration.ofMinutes(1))
          .until(() -> texts(subscriber).equals(List.of(up, down, up)));
      try (Subscriber late = Subscriber.start(broker.port(), SITE + "+/state")) {
        await().atMost(Duration.ofMinutes(1)).until(() -> late.messages().size() == 2);
        assertTrue(late.messages().stream().allMatch(Subscriber.Message::retained));
        assertTrue(
            late.messages().stream().anyMatch(m -> m.text().contains("waiting")),
            late.messages().toString());
      }
      String stopped = "{\"state\":\"stopped\"}";
      publisher.publishState(Publisher.BRIDGE, Bench.bytes(stopped));
      publisher.close();
      await()
          .atMost(Duration.ofMinutes(1))
          .until(() -> texts(subscriber).equals(List.of(up, down, up, stopped)));
      try (Subscriber late = Subscriber.start(broker.port(), BRIDGE_STATE)) {
        await().atMost(Duration.ofMinutes(1)).until(() -> texts(late).equals(List.of(stopped)));
      }
    }
  }

  /** A real storage fault: the table the cursor lives in is away for a while. */
  @Test
  void aCursorThatCannotBeMovedStopsNoPublishingAndMovesLater() throws Exception {
    try (Mosquitto broker = Mosquitto.start(folder, Mosquitto.freePort());
        Subscriber subscriber = Subscriber.start(broker.port(), SITE + "#");
        Publisher publisher = Bench.publisher(journal, Bench.address(broker.port()), heard)) {
      publisher.start();
      Bench.append(journal, "a", 10);
      assertTrue(publisher.awaitDelivered(10, SOON));
      edit("ALTER TABLE cursor RENAME TO away");
      Bench.append(journal, "b", 10_000);
      await().atMost(LONG).until(() -> publisher.acknowledged() == 10_010);
      assertFalse(publisher.awaitDelivered(10_010, Duration.ZERO));
      edit("ALTER TABLE away RENAME TO cursor");
      assertTrue(publisher.awaitDelivered(10_010, SOON));
      assertEquals(10_010, publisher.published(), "one connection, nothing sent again");
      await().atMost(LONG).until(() -> records(subscriber).size() == 10_010);
    }
  }

  @Test
  void whatCannotBeSentIsPutOnTheShelf() throws Exception {
    try (Mosquitto broker = Mosquitto.start(folder, Mosquitto.freePort());
        Subscriber subscriber = Subscriber.start(broker.port(), SITE + "#");
        Publisher publisher = Bench.publisher(journal, Bench.address(broker.port()), heard)) {
      byte[] largest = new byte[256 * 1024];
      byte[] tooLarge = new byte[256 * 1024 + 1];
      journal.append(
          List.of(
              new Draft("1", "reading", "bay-1", largest),
              new Draft("2", "reading", "bay-1", tooLarge),
              new Draft("3", "reading", "x".repeat(65), Bench.UP),
              new Draft("4", "reading", "a/+/#", Bench.UP)),
          List.of());
      publisher.start();
      assertTrue(publisher.awaitDelivered(4, SOON));
      assertEquals(2, publisher.standing().shelved());
      assertEquals(2, publisher.acknowledged());
      await().atMost(Duration.ofMinutes(1)).until(() -> records(subscriber).size() == 2);
      assertEquals(2L * largest.length, subscriber.messages().get(0).hex().length());
      assertEquals(SITE + "a~2F~2B~2F~23/reading", subscriber.messages().get(1).topic());
      List<Shelved> shelf = journal.shelf();
      assertEquals(List.of(2L, 3L), shelf.stream().map(Shelved::position).toList());
      assertTrue(shelf.get(0).reason().contains("262145 bytes"), shelf.toString());
    }
  }

  private void edit(String sql) throws SQLException {
    Path file = folder.resolve("journal").resolve("journal.db");
    try (Connection connection = DriverManager.getConnection("jdbc:sqlite:" + file);
        Statement statement = connection.createStatement()) {
      statement.execute(sql);
    }
  }

  private static List<String> expected(List<JournalEntry> entries) {
    List<String> lines = new ArrayList<>();
    for (JournalEntry entry : entries) {
      String hex = HexFormat.of().formatHex(entry.payload());
      lines.add(SITE + entry.station() + "/" + entry.kind() + " " + hex);
    }
    return lines;
  }

  private static List<String> records(Subscriber subscriber) {
    return subscriber.messages().stream()
        .filter(message -> !message.topic().startsWith(SITE + "bridge/"))
        .peek(message -> assertFalse(message.retained()))
        .map(message -> message.topic() + " " + message.hex())
        .toList();
  }

  private static Set<String> arrived(Subscriber before, Subscriber after) {
    return Stream.concat(records(before).stream(), records(after).stream())
        .collect(Collectors.toSet());
  }

  private static List<String> texts(Subscriber subscriber) {
    return subscriber.messages().stream().map(Subscriber.Message::text).toList();
  }
}
