package org.tallywire.bridge;

import static org.awaitility.Awaitility.await;
import static org.junit.jupiter.api.Assertions.assertEquals;
import static org.junit.jupiter.api.Assertions.assertFalse;
import static org.junit.jupiter.api.Assertions.assertTrue;

import java.io.ByteArrayInputStream;
import java.io.ByteArrayOutputStream;
import java.io.IOException;
import java.io.OutputStream;
import java.io.PrintStream;
import java.math.BigDecimal;
import java.nio.charset.StandardCharsets;
import java.nio.file.Path;
import java.time.Duration;
import java.util.ArrayList;
import java.util.List;
import java.util.Map;
import java.util.Optional;
import java.util.Random;
import java.util.stream.Collectors;
import org.junit.jupiter.api.BeforeEach;
import org.junit.jupiter.api.DisplayName;
import org.junit.jupiter.api.Test;
import org.junit.jupiter.api.io.TempDir;
import org.tallywire.acceptance.PlanOptions;
import org.tallywire.api.Booking;
import org.tallywire.api.Quantity;
import org.tallywire.api.RecordId;
import org.tallywire.api.RecordedReading;
import org.tallywire.api.SequenceNumber;
import org.tallywire.api.TimeSource;
import org.tallywire.api.Unit;
import org.tallywire.api.Value;
import org.tallywire.format.CriteriaFile;
import org.tallywire.format.Job;
import org.tallywire.format.RecordFormat;
import org.tallywire.journal.Draft;
import org.tallywire.journal.Journal;
import org.tallywire.journal.JournalEntry;
import org.tallywire.testset.TestSetEvent;

/** Judging without a bridge: the same verdicts as with one, and nothing dropped silently. */
class JudgeTest {

  private static final String SET = "set-a";

  @TempDir private Path folder;

  private final ByteArrayOutputStream err = new ByteArrayOutputStream();
  private Job job;

  @BeforeEach
  void job() throws Exception {
    var plate = Bench.nameplate(folder);
    job =
        new Job(
            SET,
            plate,
            PlanOptions.USUAL,
            List.of("bay-1"),
            CriteriaFile.shipped(CriteriaFile.DEFAULT));
  }

  @Test
  @DisplayName("What the bridge recorded comes out again byte for byte, by bookings and by labels")
  void asTheBridge() throws Exception {
    long seed = new Random().nextLong();
    System.out.println("JudgeTest.asTheBridge: seed " + seed);
    Random random = new Random(seed);
    List<Draft> readings = new ArrayList<>();
    for (int i = 1; i <= 120; i++) {
      String phase = List.of("A", "B", "C").get(random.nextInt(3));
      readings.add(
          random.nextInt(3) == 0
              ? Bench.lvResistance(i, phase, "2.%02d".formatted(30 + random.nextInt(40)))
              : ratio(i, phase, 1 + random.nextInt(5), "%.4f".formatted(44 + random.nextDouble())));
    }
    List<String> records = recorded(readings);
    String verdicts = lines(records, "verdict");
    assertTrue(verdicts.lines().count() > 120, verdicts.lines().count() + " verdicts");

    assertEquals(verdicts, judged(Judge.By.EITHER, 0, String.join("\n", records)));
    assertTrue(told().contains("booked    120 readings by the stream's bookings"), told());
    String alone = lines(records, "reading");
    assertEquals(verdicts, judged(Judge.By.EITHER, 0, alone));
    assertTrue(told().contains("booked    120 readings by their labels; 0 not booked"), told());
    assertEquals(verdicts, judged(Judge.By.LABELS, 0, alone));

    ByteArrayOutputStream out = new ByteArrayOutputStream();
    assertEquals(0, recheck(String.join("\n", records), out), out::toString);
    String one =
        records.stream()
            .filter(r -> Records.member(r, "criterion").equals("ratio-deviation"))
            .findFirst()
            .orElseThrow();
    String deviation = Records.member(one, "deviation");
    String changed =
        String.join("\n", records)
            .replace(one, one.replace("\"deviation\":\"" + deviation, "\"deviation\":\"9.9"));
    out.reset();
    assertEquals(Tallywire.NOT_AS_IT_SHOULD_BE, recheck(changed, out));
    String difference =
        "%s: derived now with other figures: deviation: recorded \"9.9\", derived \"%s\""
            .formatted(Records.member(one, "id"), deviation);
    assertTrue(text(out).contains(difference), text(out));
  }

  @Test
  @DisplayName("After the test set was closed nothing is judged, as with the bridge")
  void closed() throws Exception {
    String closing =
        text(
            RecordFormat.write(
                new TestSetEvent.Closed(
                    SET, Bench.NOW, "HL-0231", "bay-1", Map.of(), List.of(), "", "")));
    String first = lv(1, "A", "2.40");
    String late = lv(2, "B", "2.40");
    String verdicts = judged(Judge.By.LABELS, 0, first, closing, late);
    assertEquals(1, deviations(verdicts), verdicts);
    assertTrue(told().contains("1 not booked"), told());
    judged(
        Judge.By.EITHER,
        Tallywire.NOT_AS_IT_SHOULD_BE,
        first,
        late,
        booking(first, "winding-resistance/LV/A"),
        closing,
        booking(late, "winding-resistance/LV/B"));
    assertTrue(told().contains("line 5: booking"), told());
    assertTrue(told().contains("comes after the test set was closed; it is not judged"), told());
  }

  @Test
  @DisplayName("Bookings decide: the last one wins, it may come first, others' are left alone")
  void bookings() throws Exception {
    String one = lv(1, "A", "2.40");
    String two = lv(2, "B", "2.40");
    String wrong = booking(one, "winding-resistance/LV/C");
    String verdicts =
        judged(
            Judge.By.EITHER,
            0,
            booking(two, "winding-resistance/LV/B"),
            one,
            two,
            wrong,
            wrong,
            booking(one, "winding-resistance/LV/A"),
            booking(one, "winding-resistance/LV/A").replace("set-a", "set-b"));
    assertEquals(
        List.of("LV/B", "LV/C", "LV/A"),
        verdicts
            .lines()
            .filter(v -> Records.member(v, "criterion").equals("resistance-deviation"))
            .map(v -> Records.member(v, "subject").replace("winding-resistance/", ""))
            .toList());
    assertTrue(told().contains("4 bookings of this test set, 1 other records"), told());
    assertTrue(told().contains("booked    2 readings"), told());
  }

  @Test
  @DisplayName("A booking whose reading or step is not there is told with its line")
  void bookingOfNothing() throws Exception {
    String one = lv(1, "A", "2.40");
    judged(
        Judge.By.EITHER,
        Tallywire.NOT_AS_IT_SHOULD_BE,
        one,
        booking(lv(9, "A", "2.40"), "winding-resistance/LV/A"),
        booking(one, "winding-resistance/LV/D"));
    assertTrue(told().contains("line 2: booking"), told());
    assertTrue(told().contains("names reading Invented.tester.007:b1:9:0"), told());
    assertTrue(told().contains("line 3: booking"), told());
    assertTrue(told().contains("to step winding-resistance/LV/D, which the plan does"), told());
  }

  @Test
  @DisplayName("A repeat is judged once; under its id with other content it is told")
  void repeats() throws Exception {
    String one = lv(1, "A", "2.40");
    assertEquals(1, deviations(judged(Judge.By.LABELS, 0, one, one)));
    assertTrue(told().contains("2 readings (1 of them repeats)"), told());
    String verdicts =
        judged(Judge.By.LABELS, Tallywire.NOT_AS_IT_SHOULD_BE, one, lv(1, "A", "2.41"));
    assertEquals(1, deviations(verdicts));
    assertTrue(told().contains("line 2: reading Invented.tester.007:b1:1:0 came before"), told());
  }

  @Test
  @DisplayName("What is no record is passed over and told; what is another's record is counted")
  void refusals() throws Exception {
    String one = lv(1, "A", "2.40");
    String verdicts =
        judged(
            Judge.By.EITHER,
            Tallywire.NOT_AS_IT_SHOULD_BE,
            "no json \u001b[31m",
            one.replace("\"unit\":\"mOhm\"", "\"unit\":7"),
            one,
            "{\"record\":\"state\",\"id\":\"x\"}",
            "");
    assertEquals(1, deviations(verdicts));
    assertTrue(told().contains("line 1: a record of 13 bytes is no JSON"), told());
    assertTrue(
        told()
            .contains(
                "line 2: reading Invented.tester.007:b1:1:0: the member \"unit\" is no string;"
                    + " it is passed over"),
        told());
    assertTrue(told().contains("1 other records, 2 lines passed over"), told());
    assertFalse(told().contains("\u001b"), "control characters do not reach the terminal");
  }

  @Test
  @DisplayName("Readings of other stations are not booked; if none is, it says what would be")
  void nothingBooked() throws Exception {
    String foreign = lv(1, "A", "2.40").replace("bay-1", "bay-9");
    assertEquals("", judged(Judge.By.EITHER, Tallywire.NOT_AS_IT_SHOULD_BE, foreign));
    assertTrue(told().contains("No reading was booked: readings of the stations bay-1"), told());
    assertEquals("", judged(Judge.By.EITHER, 0, ""));
  }

  @Test
  @DisplayName("Without a booking in a full window the labels decide; a booking after that is told")
  void windowIsFull() throws Exception {
    List<String> all = new ArrayList<>();
    for (int i = 1; i <= Window.COUNT; i++) {
      all.add(lv(i, "A", "2.40").replace("winding-resistance\",\"windings", "x\",\"windings"));
    }
    String last = lv(Window.COUNT + 1, "B", "2.40");
    all.add(last);
    all.add(booking(last, "winding-resistance/LV/B"));
    String same = judged(Judge.By.EITHER, 0, String.join("\n", all));
    assertEquals(1, deviations(same), "the booking says what the label said");
    all.set(all.size() - 1, booking(last, "winding-resistance/LV/C"));
    String moved = judged(Judge.By.EITHER, Tallywire.NOT_AS_IT_SHOULD_BE, String.join("\n", all));
    assertEquals(2, deviations(moved));
    assertTrue(told().contains("line %d: the first booking".formatted(Window.COUNT + 2)), told());
    assertEquals(
        1, deviations(judged(Judge.By.BOOKINGS, 0, String.join("\n", all))), "bookings alone");
  }

  @Test
  @DisplayName("With --bookings each booking comes before its verdicts, with the reading's time")
  void writesBookings() throws Exception {
    ByteArrayOutputStream out = new ByteArrayOutputStream();
    run(Judge.By.LABELS, true, lv(1, "A", "2.40"), out);
    List<String> lines = text(out).lines().toList();
    assertEquals("booking", Records.member(lines.get(0), "record"));
    assertEquals("2026-01-15T08:00:00.000Z", Records.member(lines.get(0), "bookedAt"));
    assertEquals("verdict", Records.member(lines.get(1), "record"));
    assertTrue(lines.get(1).contains(Records.member(lines.get(0), "id")));
  }

  @Test
  @DisplayName("An output that cannot be written ends it at once, is told and is no success")
  void brokenPipe() {
    OutputStream gone =
        new OutputStream() {
          @Override
          public void write(int b) throws IOException {
            throw new IOException("Broken pipe");
          }
        };
    assertEquals(
        Tallywire.NOT_AS_IT_SHOULD_BE, run(Judge.By.LABELS, false, lv(1, "A", "2.40"), gone));
    assertTrue(told().contains("could not be written beyond record"), told());
  }

  @Test
  @DisplayName("A window holds so many and so many bytes, and tells what it forgets")
  void window() {
    List<String> forgotten = new ArrayList<>();
    Window<String> window = new Window<>(3, forgotten::add);
    for (String one : List.of("a", "b", "c")) {
      window.put(one, one, 1);
    }
    assertTrue(window.full(1));
    window.put("a", "a", 1);
    window.put("d", "d", 1);
    assertEquals(List.of("b"), forgotten);
    assertEquals(List.of("c", "a", "d"), window.all());
    window.remove("c");
    assertFalse(window.full(Window.BYTES - 2));
    assertTrue(window.full(Window.BYTES - 1));
    window.put("e", "e", Window.BYTES - 1);
    assertEquals(List.of("d", "e"), window.all());
    window.put("f", "f", 2 * Window.BYTES);
    assertEquals(List.of("f"), window.all(), "the last one stays, however long");
  }

  @Test
  @DisplayName(
      "Verdicts of another method are counted, not compared; of this one none may be missing")
  void otherMethod() throws Exception {
    List<String> records =
        recorded(
            List.of(
                Bench.lvResistance(1, "A", "2.40"),
                Bench.lvResistance(2, "B", "2.41"),
                Bench.lvResistance(3, "C", "2.42")));
    long verdicts = lines(records, "verdict").lines().count();
    List<String> older =
        records.stream()
            .map(
                r ->
                    r.replaceFirst("\"method\":\"\\d+\"", "\"method\":\"1\"")
                        .replace("\"id\":\"verdict:", "\"id\":\"verdict:old"))
            .toList();
    ByteArrayOutputStream out = new ByteArrayOutputStream();
    assertEquals(0, recheck(String.join("\n", older), out), out::toString);
    assertTrue(
        text(out).contains("%d verdicts were made by method 1; this program".formatted(verdicts)),
        text(out));
    String without =
        records.stream()
            .filter(r -> !Records.member(r, "criterion").equals("resistance-unbalance"))
            .collect(Collectors.joining("\n"));
    out.reset();
    assertEquals(Tallywire.NOT_AS_IT_SHOULD_BE, recheck(without, out));
    assertTrue(text(out).contains("derived now, not recorded: LV: "), text(out));
    String alone = lines(records, "verdict");
    out.reset();
    assertEquals(Tallywire.NOT_AS_IT_SHOULD_BE, recheck(alone, out));
    assertEquals(
        verdicts,
        text(out).lines().filter(l -> l.contains("is recorded and cannot be derived")).count());
  }

  /** Lets a real examiner judge readings over a real journal; returns all records in order. */
  private List<String> recorded(List<Draft> readings) throws Exception {
    try (Journal journal =
            Journal.open(folder.resolve("data-" + readings.size()), TimeSource.system());
        Examination examination =
            Bench.examination(
                journal,
                folder.resolve("data"),
                TimeSource.system(),
                new StateBoard(TimeSource.system()))) {
      journal.append(List.of(Drafts.of(job.opened(Bench.NOW))), List.of());
      examination.catchUp();
      examination.start();
      for (int i = 0; i < readings.size(); i += 7) {
        journal.append(readings.subList(i, Math.min(readings.size(), i + 7)), List.of());
      }
      await()
          .atMost(Duration.ofMinutes(2))
          .until(
              () -> {
                List<JournalEntry> all = journal.read(0, 10_000);
                List<String> bookings = ids(all, "booking");
                return bookings.size() == readings.size()
                    && journal.cursor(Examination.CURSOR) >= position(all, bookings);
              });
      return journal.read(0, 10_000).stream().map(e -> text(e.payload())).toList();
    }
  }

  /** Returns how many verdicts are the reading's own; how many comparisons there are is another. */
  private static long deviations(String verdicts) {
    return verdicts
        .lines()
        .filter(v -> Records.member(v, "criterion").equals("resistance-deviation"))
        .count();
  }

  private static List<String> ids(List<JournalEntry> entries, String kind) {
    return entries.stream().filter(e -> e.kind().equals(kind)).map(JournalEntry::id).toList();
  }

  private static long position(List<JournalEntry> entries, List<String> bookings) {
    String last = bookings.get(bookings.size() - 1);
    return entries.stream().filter(e -> e.id().equals(last)).findFirst().orElseThrow().position();
  }

  private static String lines(List<String> records, String kind) {
    return records.stream()
        .filter(r -> Records.member(r, "record").equals(kind))
        .map(r -> r + "\n")
        .collect(Collectors.joining());
  }

  private String judged(Judge.By by, int exit, String... lines) {
    ByteArrayOutputStream out = new ByteArrayOutputStream();
    assertEquals(exit, run(by, false, String.join("\n", lines), out), this::told);
    return text(out);
  }

  private int run(Judge.By by, boolean bookings, String lines, OutputStream out) {
    err.reset();
    return new JudgeRun(
            job,
            by,
            bookings,
            new ByteArrayInputStream(lines.getBytes(StandardCharsets.UTF_8)),
            out,
            new PrintStream(err, true, StandardCharsets.UTF_8))
        .run();
  }

  private int recheck(String lines, OutputStream out) throws Exception {
    PrintStream print = new PrintStream(out, true, StandardCharsets.UTF_8);
    return RecheckCommand.file(
        new ByteArrayInputStream(lines.getBytes(StandardCharsets.UTF_8)), print, print);
  }

  private String told() {
    return text(err);
  }

  private static String text(ByteArrayOutputStream bytes) {
    return bytes.toString(StandardCharsets.UTF_8);
  }

  private static String text(byte[] bytes) {
    return new String(bytes, StandardCharsets.UTF_8);
  }

  private static String lv(int number, String phase, String milliohms) {
    return text(Bench.lvResistance(number, phase, milliohms).payload());
  }

  private static String booking(String reading, String step) {
    return text(
        RecordFormat.write(
            new Booking(
                RecordId.derived("booking", Records.member(reading, "id"), SET, step),
                Records.member(reading, "id"),
                SET,
                step,
                "hand",
                Bench.NOW),
            "bay-1"));
  }

  private static Draft ratio(int number, String phase, int tap, String ratio) {
    String id = "Invented.tester.007:b1:%d:0".formatted(number);
    return new Draft(
        id,
        RecordFormat.READING,
        "bay-1",
        RecordFormat.write(
            new RecordedReading(
                id,
                "bay-1",
                "line 1.0",
                Bench.reading(
                    Bench.TESTER,
                    Optional.of(new SequenceNumber("b1", number)),
                    Map.of(
                        "test",
                        "turns-ratio",
                        "windings",
                        "HV-LV",
                        "phase",
                        phase,
                        "tap",
                        Integer.toString(tap)),
                    List.of(
                        new Value.Measured(
                            Quantity.TURNS_RATIO, new BigDecimal(ratio), Unit.ONE))))));
  }
}
