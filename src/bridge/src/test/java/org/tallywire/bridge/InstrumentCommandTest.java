package org.tallywire.bridge;

import static org.junit.jupiter.api.Assertions.assertEquals;
import static org.junit.jupiter.api.Assertions.assertFalse;
import static org.junit.jupiter.api.Assertions.assertTrue;

import java.io.ByteArrayInputStream;
import java.io.ByteArrayOutputStream;
import java.io.PrintWriter;
import java.io.StringWriter;
import java.math.BigDecimal;
import java.nio.charset.StandardCharsets;
import java.nio.file.Files;
import java.nio.file.Path;
import java.time.Duration;
import java.time.Instant;
import java.time.LocalDate;
import java.time.ZoneOffset;
import java.time.temporal.ChronoUnit;
import java.util.ArrayList;
import java.util.Arrays;
import java.util.List;
import java.util.Map;
import java.util.Optional;
import javax.xml.parsers.DocumentBuilderFactory;
import org.junit.jupiter.api.DisplayName;
import org.junit.jupiter.api.Test;
import org.junit.jupiter.api.io.TempDir;
import org.tallywire.acceptance.Verdict;
import org.tallywire.acceptance.uncertainty.Accuracy;
import org.tallywire.api.Instrument;
import org.tallywire.api.Quantity;
import org.tallywire.api.Reading;
import org.tallywire.api.RecordedReading;
import org.tallywire.api.SequenceNumber;
import org.tallywire.api.TimeSource;
import org.tallywire.api.Unit;
import org.tallywire.api.Value;
import org.tallywire.format.RecordFormat;
import org.tallywire.journal.Draft;
import org.tallywire.journal.Journal;
import org.tallywire.journal.JournalEntry;
import org.tallywire.journal.JournalView;
import org.tallywire.testset.InstrumentEvent;
import org.tallywire.testset.InstrumentHistory;
import org.tallywire.testset.ReferenceStandard;
import org.tallywire.testset.VerificationRule;

class InstrumentCommandTest {

  private static final String STANDARDS =
      """
      standards:
        - name: ratio-10
          serial: INV-1
          kind: ratio
          value: 10
          unit: "1"
          uncertainty: 0.001
          coverage: 2
          certificate: INV-C-1
          due: %s
      """;

  @TempDir private Path folder;

  @Test
  @DisplayName(
      "Verified, failed, calibrated, passed: each is a record of the bridge's journal, and"
          + " the standing goes with it")
  void beside() throws Exception {
    Path data = folder.resolve("data");
    try (Bridge bridge =
        Bridge.open(Bench.config(data, Optional.empty(), List.of()), TimeSource.system())) {
      bridge.start();
      bridge
          .journal()
          .append(List.of(turns(1, "10.001"), turns(2, "10.002"), turns(3, "10.300")), List.of());
      Object[] verify = verify(data);
      Run passed = run(with(verify, "--readings", id(1) + "," + id(2)));
      assertEquals(Tallywire.OK, passed.code(), passed.err());
      assertTrue(passed.out().contains("Pass: it keeps the limit"), passed.out());
      Run failed = run(with(verify, "--readings", id(3)));
      assertEquals(Tallywire.NOT_AS_IT_SHOULD_BE, failed.code());
      assertTrue(failed.out().contains("Fail:"), failed.out());
      assertTrue(failed.out().contains("The verification is written."), failed.out());
      Run shown = run("instrument", "show", data, "007");
      assertEquals(Tallywire.NOT_AS_IT_SHOULD_BE, shown.code());
      assertTrue(shown.out().contains("failed its last verification"), shown.out());
      assertTrue(shown.out().contains("calibration due: not known"), shown.out());
      assertEquals(Tallywire.OK, run(with(verify, "--readings", id(1))).code());
      calibrated(data);
      List<InstrumentEvent> events = events(data);
      assertEquals(4, events.size());
      assertEquals(
          List.of(Verdict.State.PASS, Verdict.State.FAIL, Verdict.State.PASS),
          events.stream()
              .filter(InstrumentEvent.Verified.class::isInstance)
              .map(event -> ((InstrumentEvent.Verified) event).state())
              .toList());
      assertEquals("A. Tester", events.get(0).by());
      refused(data, verify);
    }
  }

  private static void calibrated(Path data) {
    LocalDate today = LocalDate.now(ZoneOffset.UTC);
    Run calibrated =
        run(
            "instrument",
            "calibrated",
            data,
            "--serial",
            "007",
            "--certificate",
            "INV-9",
            "--issuer",
            "an invented laboratory",
            "--on",
            today,
            "--due",
            today,
            "--by",
            "A. Tester");
    assertEquals(Tallywire.OK, calibrated.code(), calibrated.err());
    Run well = run("instrument", "show", data);
    assertEquals(Tallywire.OK, well.code(), well.out());
    assertTrue(well.out().contains("007"), well.out());
    assertTrue(well.out().contains(today + ""), well.out());
  }

  private void refused(Path data, Object... verify) throws Exception {
    long before = events(data).size();
    Run unknown = run(with(verify, "--readings", id(1) + ",nothing," + id(1)));
    assertEquals(Tallywire.SETUP, unknown.code());
    assertTrue(unknown.err().contains("the journal has no record nothing"), unknown.err());
    Run twice = run(with(verify, "--readings", id(1) + "," + id(1)));
    assertTrue(twice.err().contains("is named twice"), twice.err());
    Run warm = run(with(verify, "--readings", id(1), "--temperature", "21"));
    assertTrue(warm.err().contains("no temperature coefficient"), warm.err());
    Run none = run(with(verify, "--count", "1", "--wait", "1 ms"));
    assertEquals(Tallywire.NOT_AS_IT_SHOULD_BE, none.code());
    assertTrue(none.err().contains("Nothing is written: 0 of 1 readings"), none.err());
    Object[] calibrated = {
      "instrument", "calibrated", data, "--certificate", "1", "--issuer", "x", "--by", "x"
    };
    Run stranger =
        run(with(calibrated, "--serial", "8", "--on", "2026-01-01", "--due", "2027-01-01"));
    assertTrue(stranger.err().contains("say --maker, --model and --station"), stranger.err());
    Run wrong =
        run(with(calibrated, "--serial", "007", "--on", "2999-01-02", "--due", "2999-01-01"));
    assertEquals(Tallywire.SETUP, wrong.code());
    assertTrue(wrong.err().contains("2 problems"), wrong.err());
    assertEquals(before, events(data).size());
  }

  @Test
  @DisplayName("The next readings of the station with the quantity are told as they come")
  void live() throws Exception {
    try (Journal journal = Journal.open(folder, TimeSource.system(), (state, sentence) -> {});
        JournalView view = JournalView.open(folder)) {
      journal.append(List.of(turns(1, "9.999")), List.of());
      ByteArrayOutputStream told = new ByteArrayOutputStream();
      Thread instrument =
          new Thread(
              () -> {
                try {
                  journal.append(List.of(Bench.lvResistance(2, "A", "1.0")), List.of());
                  journal.append(List.of(turns(3, "10.001"), turns(4, "10.002")), List.of());
                  journal.append(List.of(turns(5, "10.003")), List.of());
                } catch (Exception e) {
                  throw new IllegalStateException(e);
                }
              });
      // what is taken before it says that it waits does not count
      PrintWriter out =
          new PrintWriter(told, true, StandardCharsets.UTF_8) {
            @Override
            public PrintWriter printf(String format, Object... parts) {
              instrument.start();
              return super.printf(format, parts);
            }
          };
      List<RecordedReading> readings =
          new StandardReadings(view, "bay-1", Quantity.TURNS_RATIO)
              .next(2, Duration.ofMinutes(1), out);
      instrument.join(60_000);
      assertEquals(List.of(id(3), id(4)), readings.stream().map(RecordedReading::id).toList());
      String text = told.toString(StandardCharsets.UTF_8);
      assertTrue(text.contains("1 of 2: 10.001 1, ok"), text);
      assertTrue(text.contains("2 of 2: 10.002 1, ok"), text);
      assertFalse(text.contains("10.003"), text);
    }
  }

  @Test
  @DisplayName("Chart and drawing mark a point beyond the limits by its shape and a word")
  void charts() throws Exception {
    InstrumentHistory history = weeks();
    String text = InstrumentText.of(List.of(history), Bench.NOW);
    List<String> beyond = text.lines().filter(line -> line.endsWith("beyond the limit")).toList();
    // beyond in the chart of figures, and in that of the average
    assertTrue(beyond.get(0).matches(" *23 +0\\.09 +[|].*[|].*X beyond the limit"), text);
    assertEquals(0, text.lines().filter(line -> line.matches(" *22 .*X.*")).count(), text);
    assertTrue(text.contains("individuals: 1 of 24 points beyond the limits: no. 23"), text);
    String drawing = ControlDrawing.of(List.of(history));
    assertTrue(drawing.contains("&lt;ratio&gt;"));
    var root =
        DocumentBuilderFactory.newInstance()
            .newDocumentBuilder()
            .parse(new ByteArrayInputStream(drawing.getBytes(StandardCharsets.UTF_8)))
            .getDocumentElement();
    int diamonds = root.getElementsByTagName("polygon").getLength();
    assertEquals(48, diamonds + root.getElementsByTagName("circle").getLength());
    assertEquals(diamonds, drawing.split(">out</text>", -1).length - 1);
    assertEquals(
        history.series().get(0).charts().stream().mapToInt(chart -> chart.out().size()).sum(),
        diamonds);
    assertTrue(drawing.contains("upper limit 0.05319"), drawing);
    assertTrue(drawing.contains("prefers-color-scheme: dark"));
    assertEquals("", ControlDrawing.of(List.of(new InstrumentHistory(Bench.TESTER))));
  }

  /** Returns a verification a week, of which one is far from the others. */
  private static InstrumentHistory weeks() throws Exception {
    VerificationRule rule =
        new VerificationRule(
            new ReferenceStandard(
                "<ratio>",
                "1",
                ReferenceStandard.Kind.RATIO,
                BigDecimal.TEN,
                Unit.ONE,
                new BigDecimal("0.001"),
                BigDecimal.valueOf(2),
                "C",
                LocalDate.parse("2030-01-01"),
                Optional.empty()),
            Accuracy.ofReading(BigDecimal.ONE),
            Optional.empty());
    InstrumentHistory history = new InstrumentHistory(Bench.TESTER);
    Instant at = Instant.parse("2026-01-05T09:00:00Z");
    for (int i = 0; i < 24; i++) {
      String shown = i == 22 ? "10.009" : i % 2 == 0 ? "10.001" : "9.999";
      RecordedReading reading = RecordFormat.reading(turns(i + 1, shown).payload());
      history.take(rule.verify(List.of(reading), "x", at.plus(7L * i, ChronoUnit.DAYS)));
    }
    return history;
  }

  private Object[] verify(Path data) throws Exception {
    Path standards = folder.resolve("standards.yaml");
    Files.writeString(standards, STANDARDS.formatted(LocalDate.now(ZoneOffset.UTC).plusDays(30)));
    return new Object[] {
      "instrument",
      "verify",
      data,
      "--station",
      "bay-1",
      "--standards",
      standards,
      "--standard",
      "ratio-10",
      "--by",
      "A. Tester"
    };
  }

  private static List<InstrumentEvent> events(Path data) throws Exception {
    List<InstrumentEvent> events = new ArrayList<>();
    try (JournalView view = JournalView.open(data)) {
      for (JournalEntry entry : view.read(0, 100)) {
        if (entry.kind().equals(RecordFormat.VERIFICATION)) {
          events.add(RecordFormat.instrumentEvent(entry.payload()));
        }
      }
    }
    return events;
  }

  private static String id(int number) {
    return "Invented.tester.007:b1:%d:0".formatted(number);
  }

  private static Draft turns(int number, String shown) {
    Instrument tester = Bench.TESTER;
    Reading reading =
        Bench.reading(
            tester,
            Optional.of(new SequenceNumber("b1", number)),
            Map.of(),
            List.of(new Value.Measured(Quantity.TURNS_RATIO, new BigDecimal(shown), Unit.ONE)));
    return new Draft(
        id(number),
        RecordFormat.READING,
        "bay-1",
        RecordFormat.write(new RecordedReading(id(number), "bay-1", "line 1.0", reading)));
  }

  private record Run(int code, String out, String err) {}

  private static Object[] with(Object[] arguments, Object... more) {
    Object[] all = Arrays.copyOf(arguments, arguments.length + more.length);
    System.arraycopy(more, 0, all, arguments.length, more.length);
    return all;
  }

  /** Runs a command in this process, with what it prints. */
  private static Run run(Object... arguments) {
    StringWriter out = new StringWriter();
    StringWriter err = new StringWriter();
    int code =
        Tallywire.commandLine()
            .setOut(Bench.console(out))
            .setErr(Bench.console(err))
            .execute(Arrays.stream(arguments).map(Object::toString).toArray(String[]::new));
    return new Run(code, out.toString(), err.toString());
  }
}
