package org.tallywire.bridge;

import static org.awaitility.Awaitility.await;
import static org.junit.jupiter.api.Assertions.assertArrayEquals;
import static org.junit.jupiter.api.Assertions.assertEquals;
import static org.junit.jupiter.api.Assertions.assertFalse;
import static org.junit.jupiter.api.Assertions.assertNotEquals;
import static org.junit.jupiter.api.Assertions.assertTrue;

import java.io.ByteArrayOutputStream;
import java.io.PrintWriter;
import java.io.StringWriter;
import java.nio.charset.StandardCharsets;
import java.nio.file.Files;
import java.nio.file.Path;
import java.time.Duration;
import java.util.ArrayList;
import java.util.HexFormat;
import java.util.List;
import java.util.Optional;
import java.util.Set;
import java.util.TreeSet;
import org.junit.jupiter.api.BeforeEach;
import org.junit.jupiter.api.DisplayName;
import org.junit.jupiter.api.Test;
import org.junit.jupiter.api.io.TempDir;
import org.junit.jupiter.params.ParameterizedTest;
import org.junit.jupiter.params.provider.EnumSource;
import org.tallywire.acceptance.TestPlan;
import org.tallywire.acceptance.Verdict;
import org.tallywire.api.Booking;
import org.tallywire.api.RecordedReading;
import org.tallywire.api.TimeSource;
import org.tallywire.format.PublishedForm;
import org.tallywire.format.RecordFormat;
import org.tallywire.journal.Draft;
import org.tallywire.journal.Journal;
import org.tallywire.journal.JournalEntry;
import org.tallywire.journal.JournalView;
import org.tallywire.publish.BrokerAddress;
import org.tallywire.publish.Mosquitto;
import org.tallywire.publish.Publisher;
import org.tallywire.publish.Replay;
import org.tallywire.publish.Subscriber;
import org.tallywire.testset.TestSet;
import org.tallywire.testset.TestSetEvent;

/** Records on their way out in other forms: exported, and published to a real broker. */
class ExportFormsTest {

  @TempDir private Path folder;
  private Path data;

  @BeforeEach
  void aJournal() throws Exception {
    data = Files.createDirectory(folder.resolve("data"));
    try (Journal journal = Journal.open(data, TimeSource.system())) {
      for (String id : List.of("set-1", "set-2")) {
        BridgeConfig.TestSet wanted = Bench.testSet(folder, id);
        TestSetEvent.Opened opened =
            new TestSetEvent.Opened(
                id,
                Bench.NOW,
                List.of("bay-1"),
                wanted.nameplate(),
                TestPlan.of(wanted.nameplate()),
                wanted.criteria());
        TestSet testSet = new TestSet(opened);
        List<Draft> drafts = new ArrayList<>(List.of(Drafts.of(opened)));
        int from = id.equals("set-1") ? 1 : 101;
        for (int i = 0; i < 3; i++) {
          Draft reading = Bench.lvResistance(from + i, "ABC".substring(i, i + 1), "2.4");
          drafts.add(reading);
          RecordedReading recorded = RecordFormat.reading(reading.payload());
          Booking booking = testSet.place(recorded, Bench.NOW).orElseThrow();
          drafts.add(
              new Draft(
                  booking.id(),
                  RecordFormat.BOOKING,
                  "bay-1",
                  RecordFormat.write(booking, "bay-1")));
          for (Verdict verdict : testSet.booked(recorded, booking)) {
            drafts.add(
                new Draft(
                    verdict.id(), RecordFormat.VERDICT, "bay-1", RecordFormat.write(verdict)));
          }
        }
        journal.append(drafts, List.of());
      }
      journal.append(List.of(Bench.lvResistance(999, "A", "2.5")), List.of()); // unbooked
    }
  }

  private String run(ExportForm.Word form, Optional<String> testSet, Set<String> kinds)
      throws Exception {
    ByteArrayOutputStream out = new ByteArrayOutputStream();
    try (JournalView view = JournalView.open(data)) {
      List<String> told = new ArrayList<>();
      ExportRun run =
          new ExportRun(view, new ExportRun.Wish(form, kinds, testSet, ',', "hollow"), told::add);
      assertTrue(run.prepare());
      assertEquals(0, run.write(out), told::toString);
    }
    return out.toString(StandardCharsets.UTF_8);
  }

  private static Set<String> all() {
    return new TreeSet<>(
        Set.of("reading", "booking", "verdict", "gap", "test-set", "something-new"));
  }

  @Test
  @DisplayName(
      "Lines are byte for byte what is journalled; one test set is its records and its readings")
  void lines() throws Exception {
    List<String> everything = run(ExportForm.Word.JSONL, Optional.empty(), all()).lines().toList();
    try (JournalView view = JournalView.open(data)) {
      assertEquals(
          view.read(0, 1000).stream()
              .map(e -> new String(e.payload(), StandardCharsets.UTF_8))
              .toList(),
          everything);
    }
    List<String> one = run(ExportForm.Word.JSONL, Optional.of("set-1"), all()).lines().toList();
    assertEquals((everything.size() - 1) / 2, one.size(), "half of all but the unbooked reading");
    assertEquals(3, one.stream().filter(l -> l.contains("\"record\":\"reading\"")).count());
    assertTrue(one.stream().noneMatch(l -> l.contains("set-2")), one::toString);
  }

  @Test
  @DisplayName("A table has a row a value, of all readings or those of one test set")
  void table() throws Exception {
    String all = run(ExportForm.Word.CSV, Optional.empty(), all());
    assertEquals(1 + 7 * 2, all.lines().count(), all);
    String one = run(ExportForm.Word.CSV, Optional.of("set-2"), all());
    assertEquals(1 + 3 * 2, one.lines().count(), one);
    assertTrue(one.contains("set-2,HL-0231,winding-resistance/LV/A,yes,"), one);
    assertTrue(one.contains("resistance-deviation"), one);
  }

  @Test
  @DisplayName("One SenML pack of all readings, and a batch of an event for every record")
  void jsonArrays() throws Exception {
    String pack = run(ExportForm.Word.SENML, Optional.empty(), all());
    assertTrue(pack.startsWith("[\n{\"bn\":") && pack.endsWith("}\n]\n"), pack);
    assertEquals(7, pack.lines().filter(l -> l.contains("\"bn\":")).count());
    String batch = run(ExportForm.Word.CLOUDEVENTS, Optional.of("set-1"), Set.of("reading"));
    assertEquals(3, batch.lines().filter(l -> l.startsWith("{\"specversion\":\"1.0\"")).count());
    assertTrue(batch.contains("\"source\":\"urn:tallywire:hollow:bay-1\""), batch);
  }

  @Test
  @DisplayName("The command: a new file, never one written over; what it needs is said")
  void command() throws Exception {
    Path file = folder.resolve("r.xlsx");
    assertEquals(0, tallywire("export", data, "--format", "xlsx", "--out", file));
    byte[] written = Files.readAllBytes(file);
    assertEquals('P', written[0]);
    assertEquals(2, tallywire("export", data, "--format", "xlsx", "--out", file));
    assertArrayEquals(written, Files.readAllBytes(file));
    assertEquals(2, tallywire("export", data, "--format", "xlsx"));
    assertEquals(2, tallywire("export", data, "--format", "csv", "--kind", "verdict"));
    assertEquals(2, tallywire("export", data, "--format", "cloudevents"));
    assertEquals(2, tallywire("export", data, "--test-set", "nowhere"));
    assertFalse(Files.exists(folder.resolve("r.xlsx.part")));
    Path part = Files.writeString(folder.resolve("other.csv.part"), "another run's");
    assertEquals(
        2, tallywire("export", data, "--format", "csv", "--out", folder.resolve("other.csv")));
    assertEquals("another run's", Files.readString(part));
    Path config = folder.resolve("t.yaml");
    Files.writeString(config, config("payload: senml"));
    Path events = folder.resolve("e.json");
    assertEquals(0, tallywire("export", config, "--format", "cloudevents", "--out", events));
    assertTrue(Files.readString(events).contains("urn:tallywire:hollow-lane:bay-1"));
    assertEquals(
        PublishedForm.SENML,
        BridgeConfigFile.read(config, Drivers.shipped()).broker().orElseThrow().payload());
    Files.writeString(config, config("payload: xml"));
    assertEquals(2, tallywire("export", config));
  }

  private static String config(String payload) {
    return """
        site: hollow-lane
        data: data
        mqtt:
          broker: mqtt://127.0.0.1:1883
          %s
        page: {port: 0}
        stations:
          bay-1: {driver: line, tcp: {host: 127.0.0.1, port: 9}}
        """
        .formatted(payload);
  }

  private static int tallywire(Object... arguments) {
    return Tallywire.commandLine()
        .setErr(new PrintWriter(new StringWriter()))
        .execute(java.util.Arrays.stream(arguments).map(Object::toString).toArray(String[]::new));
  }

  @ParameterizedTest
  @EnumSource(names = {"SENML", "CLOUDEVENTS"}) // of records PublisherTest
  @DisplayName(
      "Each form reaches subscribers of a real broker; topics, order and tallies are the same")
  void published(PublishedForm form) throws Exception {
    Mosquitto.require();
    TimeSource time = TimeSource.system();
    StateBoard board = new StateBoard(time);
    try (Mosquitto broker = Mosquitto.start(folder, Mosquitto.freePort());
        Subscriber subscriber = Subscriber.start(broker.port(), "#");
        Journal journal = Journal.open(data, time)) {
      BrokerAddress address =
          new BrokerAddress(
              "tcp://127.0.0.1:" + broker.port(),
              "bay",
              Optional.empty(),
              Optional.empty(),
              "tallywire",
              "hollow");
      PublishedRecords records = new PublishedRecords("hollow", form, time);
      long head = journal.head();
      try (Publisher publisher =
          new Publisher(journal, address, board.will(), records, time, new Reports(board))) {
        publisher.start();
        assertTrue(publisher.awaitDelivered(head, Duration.ofSeconds(30)));
        assertEquals(head, publisher.standing().accepted());
      }
      List<JournalEntry> entries = journal.read(0, 1000);
      await()
          .atMost(Duration.ofMinutes(1))
          .until(() -> of(subscriber, false).size() == entries.size());
      List<Subscriber.Message> heard = of(subscriber, false);
      for (int i = 0; i < entries.size(); i++) {
        JournalEntry entry = entries.get(i);
        Subscriber.Message message = heard.get(i);
        assertEquals("tallywire/hollow/bay-1/" + entry.kind(), message.topic());
        byte[] expected = form.payload("hollow", entry.payload());
        assertArrayEquals(expected, HexFormat.of().parseHex(message.hex()));
        assertEquals(
            form == PublishedForm.SENML && !entry.kind().equals("reading"),
            java.util.Arrays.equals(expected, entry.payload()),
            entry.kind());
      }
      List<String> first = heard.stream().map(Subscriber.Message::hex).toList();
      try (JournalView view = JournalView.open(data)) {
        Replay.Outcome outcome =
            new Replay(view, address, records, time).run(1, head, (position, published) -> {});
        assertEquals(head, outcome.published(), outcome.stopped());
      }
      await()
          .atMost(Duration.ofMinutes(1))
          .until(() -> of(subscriber, false).size() == 2 * entries.size());
      assertEquals(
          first,
          of(subscriber, false).stream().skip(first.size()).map(Subscriber.Message::hex).toList(),
          "a replay has the same bytes");
      List<Subscriber.Message> tallies = of(subscriber, true);
      assertNotEquals(0, tallies.size());
      String ids = String.join("", tallies.stream().map(Subscriber.Message::text).toList());
      entries.forEach(entry -> assertTrue(ids.contains("\"" + entry.id() + "\""), entry.id()));
    }
  }

  private static List<Subscriber.Message> of(Subscriber subscriber, boolean tallies) {
    return subscriber.messages().stream()
        .filter(m -> !m.topic().endsWith("/state"))
        .filter(m -> m.topic().endsWith("/tally") == tallies)
        .toList();
  }
}
