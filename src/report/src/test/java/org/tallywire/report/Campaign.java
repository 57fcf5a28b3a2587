package org.tallywire.report;

import java.math.BigDecimal;
import java.nio.file.Files;
import java.nio.file.Path;
import java.time.Instant;
import java.util.ArrayList;
import java.util.LinkedHashMap;
import java.util.List;
import java.util.Map;
import java.util.Optional;
import org.tallywire.acceptance.Rule;
import org.tallywire.acceptance.TestPlan;
import org.tallywire.acceptance.Verdict;
import org.tallywire.api.Booking;
import org.tallywire.api.ClockQuality;
import org.tallywire.api.Instrument;
import org.tallywire.api.Quantity;
import org.tallywire.api.Reading;
import org.tallywire.api.RecordedReading;
import org.tallywire.api.TimeSource;
import org.tallywire.api.Unit;
import org.tallywire.api.Value;
import org.tallywire.format.CriteriaFile;
import org.tallywire.format.NameplateFile;
import org.tallywire.format.RecordFormat;
import org.tallywire.journal.Draft;
import org.tallywire.journal.Journal;
import org.tallywire.journal.JournalEntry;
import org.tallywire.journal.JournalException;
import org.tallywire.testset.Checklist;
import org.tallywire.testset.ChecklistAnswer;
import org.tallywire.testset.InstrumentEvent;
import org.tallywire.testset.Note;
import org.tallywire.testset.Terms;
import org.tallywire.testset.TestSet;
import org.tallywire.testset.TestSetEvent;

/** A test set of an invented single-phase unit in a real journal, judged as the bridge does. */
final class Campaign implements AutoCloseable {

  static final String ID = "T-1";
  static final String RATIO = "turns-ratio/HV-LV/A/1";
  static final String HV = "winding-resistance/HV/A/1";
  static final String LV = "winding-resistance/LV/A";
  static final Instant START = Instant.parse("2026-01-15T08:00:00Z");
  static final Instrument METER = new Instrument("Sample", "Meter <1>", "S-7", "2.0");

  private static final String PLATE =
      """
      asset: "U&1 <x>"
      group: Ii0
      rated-power: 100
      hv-voltage: 11000
      lv-voltage: 433
      frequency: 50
      taps:
        - {position: 1, voltage: 11000}
      principal-tap: 1
      hv-conductor: copper
      lv-conductor: copper
      reference-temperature: 75
      resistance-references:
        - {windings: LV, phase: A, ohms: 0.0029}
      """;

  final Journal journal;
  private final TestSet testSet;
  private final TestSetEvent.Opened opened;
  private long second;
  private int numbered;

  Campaign(Path folder) throws Exception {
    Path plate = Files.writeString(folder.resolve("plate.yaml"), PLATE);
    var nameplate = NameplateFile.read(plate);
    Checklist before =
        new Checklist(
            "before work",
            Checklist.Moment.BEFORE,
            List.of(
                new Checklist.Item(
                    "dead", "Is it \"dead\"?", "an invented rule", Rule.Certainty.PRACTICE)));
    opened =
        new TestSetEvent.Opened(
            ID,
            START,
            List.of("bay-1"),
            nameplate,
            TestPlan.of(nameplate),
            CriteriaFile.shipped("distribution-oil"),
            "Ada",
            new Terms(
                Terms.Order.LABELS,
                List.of(before),
                new LinkedHashMap<>(Map.of("customer", "Mill </style> & Sons (invented)"))),
            List.of());
    testSet = new TestSet(opened);
    journal = Journal.open(folder.resolve("data"), TimeSource.system());
    put(opened.id(), RecordFormat.TEST_SET, "bay-1", RecordFormat.write(opened));
  }

  private Instant now() {
    return START.plusSeconds(++second);
  }

  private void put(String id, String kind, String station, byte[] json) throws JournalException {
    journal.append(List.of(new Draft(id, kind, station, json)), List.of());
  }

  Campaign answered() throws Exception {
    ChecklistAnswer answer =
        new ChecklistAnswer(
            ID,
            "bay-1",
            now(),
            "Ada",
            Checklist.Moment.BEFORE,
            List.of(new ChecklistAnswer.Answer("dead", ChecklistAnswer.Reply.YES, "tested")),
            Optional.empty());
    testSet.take(answer);
    put(answer.id(), RecordFormat.CHECKLIST, "bay-1", RecordFormat.write(answer));
    return this;
  }

  /** Takes a reading without booking it. */
  RecordedReading arrives(String station, Value... values) throws Exception {
    Instant at = now();
    String id = "S-7:e:%d:0".formatted(++numbered);
    RecordedReading reading =
        new RecordedReading(
            id,
            station,
            "line 1.1",
            new Reading(
                METER,
                Optional.empty(),
                0,
                Map.of("test", "x"),
                List.of(values),
                Reading.Status.OK,
                Optional.empty(),
                ClockQuality.NONE,
                at,
                "raw"));
    put(id, RecordFormat.READING, station, RecordFormat.write(reading));
    return reading;
  }

  /** Books a reading to a step and records the verdicts that follow. */
  Campaign books(RecordedReading reading, String step, String by, String reason) throws Exception {
    Instant at = now();
    Booking booking =
        new Booking(
            "booking:" + second,
            reading.id(),
            ID,
            step,
            by,
            at,
            reason.isEmpty() ? Optional.empty() : Optional.of(reason));
    put(booking.id(), RecordFormat.BOOKING, "bay-1", RecordFormat.write(booking, "bay-1"));
    for (Verdict verdict : testSet.booked(reading, booking)) {
      put(verdict.id(), RecordFormat.VERDICT, "bay-1", RecordFormat.write(verdict));
    }
    return this;
  }

  Campaign reads(String step, Value... values) throws Exception {
    return books(arrives("bay-1", values), step, "labels", "");
  }

  static Value ratio(String number) {
    return new Value.Measured(Quantity.TURNS_RATIO, new BigDecimal(number), Unit.ONE);
  }

  static Value ohms(String number) {
    return new Value.Measured(Quantity.WINDING_RESISTANCE, new BigDecimal(number), Unit.OHM);
  }

  private static Value measured(Quantity quantity, String number, Unit unit) {
    return new Value.Measured(quantity, new BigDecimal(number), unit);
  }

  static Value amperes(String number) {
    return measured(Quantity.TEST_CURRENT, number, Unit.AMPERE);
  }

  static Value celsius(String number) {
    return new Value.Measured(Quantity.WINDING_TEMPERATURE, new BigDecimal(number), Unit.CELSIUS);
  }

  Campaign happens(TestSetEvent.During event) throws Exception {
    testSet.take(event);
    put(event.id(), RecordFormat.TEST_SET, "bay-1", RecordFormat.write(event));
    return this;
  }

  Campaign repeats(String step, String reason) throws Exception {
    return happens(
        new TestSetEvent.Repeat(ID, now(), opened.asset(), "bay-1", step, "Ada", reason));
  }

  Campaign skips(String step, String reason) throws Exception {
    return happens(
        new TestSetEvent.Skipped(ID, now(), opened.asset(), "bay-1", step, "Ada", reason));
  }

  Campaign notes(String text, Value.Measured... values) throws Exception {
    Note note =
        new Note(ID, "bay-1", now(), "Ada", text, Optional.empty(), List.of(values), List.of());
    testSet.take(note);
    put(note.id(), RecordFormat.NOTE, "bay-1", RecordFormat.write(note));
    return this;
  }

  Campaign calibrated() throws Exception {
    InstrumentEvent.Calibrated event =
        new InstrumentEvent.Calibrated(
            "bay-1",
            now(),
            "Ada",
            METER,
            "C-9",
            "an invented laboratory",
            java.time.LocalDate.parse("2025-06-01"),
            java.time.LocalDate.parse("2026-06-01"));
    testSet.take(event);
    put(event.id(), RecordFormat.VERIFICATION, "bay-1", RecordFormat.write(event));
    return this;
  }

  Campaign closes() throws Exception {
    TestSetEvent.Closed closed = testSet.close(now(), "Ada", "");
    put(closed.id(), RecordFormat.TEST_SET, "bay-1", RecordFormat.write(closed));
    return this;
  }

  /** The figures of a unit on which nothing is wrong. */
  Campaign good() throws Exception {
    return reads(
            RATIO,
            ratio("25.4100"),
            measured(Quantity.PHASE_DISPLACEMENT, "0.010", Unit.DEGREE),
            measured(Quantity.EXCITATION_CURRENT, "3.15", Unit.MILLIAMPERE),
            measured(Quantity.TEST_VOLTAGE, "40.00", Unit.VOLT))
        .reads(HV, ohms("4.2317"), celsius("20.0"), amperes("0.700"))
        .reads(LV, ohms("0.00238"), celsius("20.0"), amperes("10.00"));
  }

  TestRecord record() throws Exception {
    TestRecordReader reader =
        new TestRecordReader(ID, journal.identity(), journal.anchor(), lookup());
    for (JournalEntry entry : entries()) {
      reader.take(entry);
    }
    return reader.record().orElseThrow();
  }

  List<JournalEntry> entries() throws JournalException {
    return new ArrayList<>(journal.read(0, 10_000));
  }

  private TestRecordReader.Lookup lookup() {
    return new TestRecordReader.Lookup() {
      @Override
      public Optional<JournalEntry> find(String id) throws JournalException {
        return journal.find(id);
      }

      @Override
      public byte[] digestBefore(long position) throws JournalException {
        return position == 1
            ? journal.anchor().digest()
            : journal.read(position - 2, 1).get(0).digest();
      }
    };
  }

  @Override
  public void close() {
    journal.close();
  }
}
