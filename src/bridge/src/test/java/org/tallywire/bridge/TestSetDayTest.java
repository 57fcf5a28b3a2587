package org.tallywire.bridge;

import static org.awaitility.Awaitility.await;
import static org.junit.jupiter.api.Assertions.assertEquals;
import static org.junit.jupiter.api.Assertions.assertTrue;

import java.io.ByteArrayInputStream;
import java.io.ByteArrayOutputStream;
import java.io.PrintStream;
import java.io.PrintWriter;
import java.io.StringWriter;
import java.math.BigDecimal;
import java.nio.charset.StandardCharsets;
import java.nio.file.Files;
import java.nio.file.Path;
import java.time.Duration;
import java.time.Instant;
import java.time.LocalDate;
import java.util.ArrayList;
import java.util.LinkedHashMap;
import java.util.List;
import java.util.Map;
import java.util.Optional;
import java.util.stream.Collectors;
import org.junit.jupiter.api.AfterEach;
import org.junit.jupiter.api.BeforeEach;
import org.junit.jupiter.api.DisplayName;
import org.junit.jupiter.api.Test;
import org.junit.jupiter.api.io.TempDir;
import org.tallywire.acceptance.Verdict;
import org.tallywire.api.Booking;
import org.tallywire.api.Quantity;
import org.tallywire.api.Reading;
import org.tallywire.api.RecordedReading;
import org.tallywire.api.SequenceNumber;
import org.tallywire.api.TimeSource;
import org.tallywire.api.Unit;
import org.tallywire.api.Value;
import org.tallywire.format.JobFile;
import org.tallywire.format.RecordFormat;
import org.tallywire.journal.Draft;
import org.tallywire.journal.Journal;
import org.tallywire.journal.JournalEntry;
import org.tallywire.journal.JournalView;
import org.tallywire.testset.Checklist;
import org.tallywire.testset.InstrumentEvent;
import org.tallywire.testset.TestSet;

/** The tester's commands beside an examiner over a real journal (README, "A day at the bench"). */
class TestSetDayTest {

  private static final String LV_A = "winding-resistance/LV/A";
  private static final String LV_B = "winding-resistance/LV/B";

  @TempDir private Path folder;
  private Path data;
  private Journal journal;
  private Examination examination;
  private String said = "";

  @BeforeEach
  void start() throws Exception {
    data = folder.resolve("data");
    begin();
  }

  private void begin() throws Exception {
    journal = Journal.open(data, TimeSource.system());
    examination =
        Bench.examination(journal, data, TimeSource.system(), new StateBoard(TimeSource.system()));
    examination.catchUp();
    examination.start();
  }

  @AfterEach
  void end() {
    examination.close();
    journal.close();
  }

  @Test
  @DisplayName(
      "A day: list, temperature, wrong booking, repeat, skip, crash, pause, close, recheck")
  void aDay() throws Exception {
    assertEquals(0, open());
    take(1, "A", "2.40");
    awaitExamined();
    assertEquals(0, of("booking").size(), "the list for before is not answered");
    refused("sources", "book", "T", id(1), LV_A, "--reason", "because");
    answer("before");

    done("note", "T", "warm", "--winding-temperature", "20.0", "--step", LV_A);
    done("note", "T", "--winding-temperature", "21.5", "--file", plate().toString());
    take(2, "A", "2.40");
    await().until(() -> of("booking").size() == 1);
    await().until(() -> !of("verdict").isEmpty());
    Verdict verdict = RecordFormat.verdict(of("verdict").get(0).payload());
    assertTrue(
        verdict.findings().toString().contains("temperature 20.0 Cel is not the instrument's: Ada"),
        verdict.findings()::toString);

    // a wrong booking is moved with a trace, and back
    done("book", "T", id(2), LV_B, "--reason", "the leads were on B");
    await().until(() -> testSet().reading(LV_B).isPresent());
    assertEquals(Optional.empty(), testSet().reading(LV_A));
    done("book", "T", id(2), "none", "--reason", "no, it was an empty clamp");
    await().until(() -> testSet().reading(LV_B).isEmpty());
    assertEquals(3, of("booking").size(), "nothing was taken out");

    take(3, "A", "2.41");
    await().until(() -> testSet().reading(LV_A).isPresent());
    done("repeat", "T", LV_A, "--reason", "a loose clamp");
    await().until(() -> testSet().reading(LV_A).isEmpty());
    refused("no reading yet", "repeat", "T", LV_A, "--reason", "again");
    take(4, "A", "2.42");
    await().until(() -> testSet().reading(LV_A).isPresent());

    end();
    begin();

    done("pause", "T", "--reason", "lunch");
    refused("paused already", "pause", "T", "--reason", "lunch");
    take(5, "B", "2.40");
    awaitExamined();
    assertEquals(Optional.empty(), testSet().reading(LV_B));
    done("resume", "T");
    refused("not paused", "resume", "T");
    done("book", "T", id(5), LV_B, "--reason", "taken during lunch");
    await().until(() -> testSet().reading(LV_B).isPresent());
    refused("has a reading", "skip", "T", LV_B, "--reason", "no time");
    done("skip", "T", "winding-resistance/LV/C", "--reason", "terminal broken");
    refused("no step winding", "skip", "T", "winding-resistance/LV/D", "--reason", "no");
    assertEquals(0, run("test-set", "show", data.toString(), "T", "--readings"), () -> said);
    assertTrue(said.contains("left out by Ada: terminal broken"), said);
    assertTrue(said.contains(id(4)), said);
    assertTrue(
        said.substring(said.indexOf("Not booked since it was opened")).contains(id(1)), said);

    refused("Steps without a reading", "close", "T");
    done("close", "T", "--reason", "only the LV side was asked for");
    refused("not open", "pause", "T", "--reason", "late");
    done("note", "T", "a word after the end");
    assertEquals(0, run("test-set", "list", data.toString()), () -> said);
    assertTrue(said.contains("closed"), said);
    rechecked();
  }

  @Test
  @DisplayName("What may not go in is refused with a sentence, and nothing of it is written")
  void refusals() throws Exception {
    Files.createDirectories(data.resolve("inbox"));
    Path left = data.resolve("inbox/0000000000001-x.json");
    Files.writeString(left, "{\"record\":\"reading\",\"schema\":1,\"id\":\"x\"}");
    await().until(() -> Files.exists(data.resolve("inbox/0000000000001-x.refused")));
    assertTrue(
        Files.readString(data.resolve("inbox/0000000000001-x.refused"))
            .contains("no records of kind reading"));
    assertEquals(0, open());
    assertEquals(Tallywire.NOT_AS_IT_SHOULD_BE, open());
    assertTrue(said.contains("in the journal already"), said);
    assertEquals(
        Tallywire.NOT_AS_IT_SHOULD_BE,
        run("test-set", "open", data.toString(), job("U").toString(), "--by", "Ada"));
    assertTrue(said.contains("bay-1 feeds test set T"), said);
    refused("no item doors", "answer", "T", "before", "--yes", "doors");
    assertEquals(1, journal.head());
  }

  @Test
  @DisplayName("A list that is passed over lets readings in, and the record says why")
  void override() throws Exception {
    assertEquals(0, open());
    done("answer", "T", "before", "--override", "no de-energised unit: a bench dummy");
    take(1, "A", "2.40");
    await().until(() -> of("booking").size() == 1);
    run("test-set", "show", data.toString(), "T");
    assertTrue(said.contains("passed over by Ada: no de-energised unit: a bench dummy"), said);
  }

  @Test
  @DisplayName("An instrument that is overdue or failed says so in every verdict on its readings")
  void instrument() throws Exception {
    leave(calibrated(LocalDate.of(2026, 1, 14)));
    assertEquals(0, open());
    answer("before");
    take(1, "A", "2.40");
    await().until(() -> !of("verdict").isEmpty());
    for (JournalEntry entry : of("verdict")) {
      assertTrue(text(entry).contains("was due on 2026-01-14, before this reading of 2026-01-15"));
    }
    // on the day itself it still counts
    leave(calibrated(LocalDate.of(2026, 1, 15)));
    int before = of("verdict").size();
    take(2, "A", "2.40");
    await().until(() -> of("verdict").size() > before);
    assertTrue(
        of("verdict").stream().skip(before).noneMatch(entry -> text(entry).contains("was due")));
    leave(failed());
    int then = of("verdict").size();
    take(3, "A", "2.40");
    await().until(() -> of("verdict").size() > then);
    assertTrue(
        of("verdict").stream()
            .skip(then)
            .allMatch(entry -> text(entry).contains("failed its last verification")));
    rechecked();
  }

  @Test
  @DisplayName("In the plan's order a reading without labels is of the step that comes next")
  void planOrder() throws Exception {
    assertEquals(
        0,
        run(
            "test-set",
            "open",
            data.toString(),
            job("T").toString(),
            "--by",
            "Ada",
            "--order",
            "plan",
            "--checklist",
            "none"));
    // both came before anybody could move a lead: which step the second is of, nobody knows
    journal.append(List.of(ratio(1), ratio(2)), List.of());
    await().until(() -> of("booking").size() == 1);
    awaitExamined();
    assertEquals(1, of("booking").size());
    journal.append(List.of(ratio(3)), List.of());
    await().until(() -> of("booking").size() == 2);
    List<Booking> bookings = new ArrayList<>();
    for (JournalEntry entry : of("booking")) {
      bookings.add(RecordFormat.booking(entry.payload()));
    }
    assertEquals("plan", bookings.get(0).by());
    List<String> steps =
        testSet().opened().plan().steps().stream().limit(2).map(step -> step.id()).toList();
    assertEquals(steps, bookings.stream().map(Booking::step).toList());
  }

  private int open() throws Exception {
    return run("test-set", "open", data.toString(), job("T").toString(), "--by", "Ada");
  }

  private Path plate() throws Exception {
    Bench.nameplate(folder);
    return folder.resolve("plate.yaml");
  }

  private Path job(String id) throws Exception {
    plate();
    Path file = folder.resolve(id + ".yaml");
    Files.writeString(file, "id: %s\nnameplate: plate.yaml\nstations: [bay-1]\n".formatted(id));
    return file;
  }

  private void answer(String moment) throws Exception {
    List<String> items =
        testSet()
            .opened()
            .terms()
            .checklist(Checklist.Moment.of(moment).orElseThrow())
            .orElseThrow()
            .items()
            .stream()
            .map(Checklist.Item::id)
            .toList();
    done("answer", "T", moment, "--yes", String.join(",", items));
  }

  private void done(String command, String... more) throws Exception {
    assertEquals(0, runTestSet(command, more), () -> said);
  }

  private void refused(String sentence, String command, String... more) throws Exception {
    long head = journal.head();
    assertEquals(Tallywire.NOT_AS_IT_SHOULD_BE, runTestSet(command, more), () -> said);
    assertTrue(said.contains(sentence), said);
    assertEquals(head, journal.head());
  }

  private int runTestSet(String command, String... more) throws Exception {
    List<String> all = new ArrayList<>(List.of("test-set", command, data.toString()));
    all.addAll(List.of(more));
    all.addAll(List.of("--by", "Ada"));
    return run(all.toArray(new String[0]));
  }

  private int run(String... arguments) {
    StringWriter both = new StringWriter();
    PrintWriter out = Bench.console(both);
    int code = Tallywire.commandLine().setOut(out).setErr(out).execute(arguments);
    said = both.toString();
    return code;
  }

  private int judge(String records) throws Exception {
    ByteArrayOutputStream out = new ByteArrayOutputStream();
    ByteArrayOutputStream err = new ByteArrayOutputStream();
    int code =
        new JudgeRun(
                JobFile.read(job("T")),
                Judge.By.BOOKINGS,
                false,
                new ByteArrayInputStream(records.getBytes(StandardCharsets.UTF_8)),
                out,
                new PrintStream(err, true, StandardCharsets.UTF_8))
            .run();
    said = out.toString(StandardCharsets.UTF_8) + err.toString(StandardCharsets.UTF_8);
    return code;
  }

  private void leave(InstrumentEvent event) throws Exception {
    Draft draft =
        new Draft(event.id(), RecordFormat.VERIFICATION, "bay-1", RecordFormat.write(event));
    assertEquals(new Inbox.Answer.Taken(), new Inbox(data).leave(draft, Duration.ofSeconds(20)));
  }

  private static InstrumentEvent calibrated(LocalDate due) {
    return new InstrumentEvent.Calibrated(
        "bay-1",
        Instant.parse("2026-01-15T07:00:00Z"),
        "Ada",
        Bench.TESTER,
        "invented " + due,
        "an invented laboratory",
        LocalDate.of(2025, 1, 10),
        due);
  }

  private static InstrumentEvent failed() {
    BigDecimal one = new BigDecimal("1.000");
    return new InstrumentEvent.Verified(
        "bay-1",
        Instant.parse("2026-01-15T07:30:00Z"),
        "Ada",
        Bench.TESTER,
        "R1",
        "1",
        Quantity.WINDING_RESISTANCE,
        Unit.OHM,
        one,
        Optional.of(new BigDecimal("1.02")),
        Optional.of(new BigDecimal("2")),
        one,
        Unit.PERCENT,
        new BigDecimal("0.1"),
        Verdict.State.FAIL,
        List.of(),
        "1.02 Ohm where 1.000 Ohm were expected: fail.");
  }

  /** A resistance without a temperature of its own. */
  private void take(int number, String phase, String milliohms) throws Exception {
    Map<String, String> labels = new LinkedHashMap<>();
    labels.put("test", "winding-resistance");
    labels.put("windings", "LV");
    labels.put("phase", phase);
    append(
        number,
        labels,
        new Value.Measured(
            Quantity.WINDING_RESISTANCE, new BigDecimal(milliohms), new Unit("mOhm")));
  }

  private void append(int number, Map<String, String> labels, Value value) throws Exception {
    journal.append(List.of(draft(number, labels, value)), List.of());
  }

  private static Draft ratio(int number) {
    return draft(
        number,
        Map.of(),
        new Value.Measured(Quantity.TURNS_RATIO, new BigDecimal("46.20"), Unit.ONE));
  }

  private static Draft draft(int number, Map<String, String> labels, Value value) {
    Reading reading =
        Bench.reading(
            Bench.TESTER, Optional.of(new SequenceNumber("b1", number)), labels, List.of(value));
    return new Draft(
        id(number),
        RecordFormat.READING,
        "bay-1",
        RecordFormat.write(new RecordedReading(id(number), "bay-1", "line 1.0", reading)));
  }

  private static String id(int number) {
    return "Invented.tester.007:b1:%d:0".formatted(number);
  }

  private TestSet testSet() throws Exception {
    return KnownTestSets.of(journal::read, journal::find).find("T").testSet();
  }

  private List<JournalEntry> of(String kind) throws Exception {
    return journal.read(0, 1000).stream().filter(e -> e.kind().equals(kind)).toList();
  }

  private static String text(JournalEntry entry) {
    return new String(entry.payload(), StandardCharsets.UTF_8);
  }

  /** Waits until the examiner has taken what is there now: it takes a note after all that. */
  private void awaitExamined() throws Exception {
    done("note", "T", "a mark");
  }

  /**
   * "recheck derives every verdict again", and "judge on an export gives the verdicts that the
   * bridge recorded, byte for byte" (README, Judge without a bench).
   */
  private void rechecked() throws Exception {
    List<String> recorded = of("verdict").stream().map(TestSetDayTest::text).toList();
    String all =
        journal.read(0, 1000).stream()
            .map(TestSetDayTest::text)
            .collect(Collectors.joining("\n", "", "\n"));
    end();
    assertEquals(0, judge(all), () -> said);
    assertEquals(recorded, said.lines().filter(l -> l.startsWith("{")).toList());
    List<String> differences = new ArrayList<>();
    try (JournalView view = JournalView.open(data)) {
      Recheck recheck = Recheck.of(view, differences::add);
      assertEquals(List.of(), differences);
      assertTrue(recheck.agreeing() > 0);
    }
  }
}
