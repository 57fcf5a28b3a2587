package org.tallywire.bridge;

import java.io.PrintStream;
import java.time.Duration;
import java.time.LocalTime;
import java.time.ZoneId;
import java.time.format.DateTimeFormatter;
import java.util.ArrayList;
import java.util.LinkedHashMap;
import java.util.List;
import java.util.Map;
import java.util.Set;
import java.util.TreeMap;
import java.util.stream.Collectors;
import java.util.stream.Stream;
import org.slf4j.Logger;
import org.slf4j.LoggerFactory;
import org.tallywire.acceptance.Criterion.Kind;
import org.tallywire.acceptance.Finding;
import org.tallywire.acceptance.Verdict;
import org.tallywire.api.Reading;
import org.tallywire.api.RecordedReading;
import org.tallywire.api.Unit;
import org.tallywire.api.Value;
import org.tallywire.format.FormatException;
import org.tallywire.format.RecordFormat;
import org.tallywire.journal.Journal;
import org.tallywire.journal.JournalEntry;
import org.tallywire.journal.JournalException;
import org.tallywire.testset.TestSetEvent;

/**
 * Follows the journal and tells each reading and verdict in plain words: in full what a reading is
 * against its plate and whatever did not simply pass, in one line which others passed. One thread,
 * "telling".
 */
final class Telling implements AutoCloseable {

  private static final Logger log = LoggerFactory.getLogger(Telling.class);
  private static final Duration SLICE = Duration.ofMillis(200);
  private static final Duration CLOSE_LIMIT = Duration.ofSeconds(2);
  private static final int BATCH = 64;
  private static final DateTimeFormatter CLOCK = DateTimeFormatter.ofPattern("HH:mm:ss");
  private static final Map<String, String> UNITS =
      Map.of("1", "", "Cel", " °C", "deg", "°", "Ohm", " Ω", "mOhm", " mΩ");

  /** Criteria that say nothing of a step's main figure; a pass of one is told in short. */
  private static final Set<String> BESIDE_THE_PLATE =
      Stream.of(
              Kind.RATIO_SPREAD,
              Kind.RATIO_STEPS,
              Kind.WINDING_GROUP,
              Kind.PHASE_DISPLACEMENT,
              Kind.EXCITATION_PATTERN,
              Kind.RESISTANCE_UNBALANCE,
              Kind.RESISTANCE_SETTLING,
              Kind.TEST_CURRENT)
          .map(Kind::word)
          .collect(Collectors.toUnmodifiableSet());

  private final Journal journal;
  private final PrintStream out;
  private final Thread thread = new Thread(this::run, "telling");

  /** What passed and is still to be told: criteria by place. */
  private final Map<String, List<String>> passed = new LinkedHashMap<>();

  private volatile boolean closing;
  private long position;

  /** Prepares to tell what comes after the given place in the journal. */
  Telling(Journal journal, PrintStream out, long after) {
    this.journal = journal;
    this.out = out;
    this.position = after;
  }

  void start() {
    thread.setDaemon(true);
    thread.start();
  }

  @Override
  public void close() {
    closing = true;
    try {
      thread.join(CLOSE_LIMIT.toMillis());
    } catch (InterruptedException e) {
      Thread.currentThread().interrupt();
    }
  }

  private void run() {
    try {
      while (true) {
        boolean more = journal.awaitBeyond(position, SLICE);
        if (!more) {
          tellPassed();
          if (closing) {
            return; // what was written before the end has been told
          }
        }
        for (JournalEntry entry : journal.read(position, BATCH)) {
          tellIfReadable(entry);
          position = entry.position();
        }
      }
    } catch (JournalException e) {
      log.error("telling what happens ended: {}", e.getMessage());
    } catch (InterruptedException e) {
      Thread.currentThread().interrupt();
    }
  }

  private void tellIfReadable(JournalEntry entry) {
    try {
      tell(entry);
    } catch (FormatException e) {
      log.error("entry {} cannot be told: {}", entry.position(), e.getMessage());
    }
  }

  private void tell(JournalEntry entry) throws FormatException {
    if (!entry.kind().equals(RecordFormat.VERDICT)) {
      tellPassed();
    }
    switch (entry.kind()) {
      case RecordFormat.READING -> tell(RecordFormat.reading(entry.payload()));
      case RecordFormat.VERDICT -> tell(RecordFormat.verdict(entry.payload()));
      case RecordFormat.TEST_SET -> tell(RecordFormat.testSetEvent(entry.payload()));
      case RecordFormat.GAP ->
          out.printf(
              "       ?? %s: %s%n",
              entry.station(), Visible.text(RecordFormat.gap(entry.payload()).detail()));
      default -> {
        // bookings and other records are not worth a line here
      }
    }
  }

  private void tell(RecordedReading recorded) {
    out.printf("%s  %s%n", CLOCK.format(LocalTime.now(ZoneId.systemDefault())), inWords(recorded));
  }

  /** Returns a reading in a line, with its station. */
  static String inWords(RecordedReading recorded) {
    return "%s  %s".formatted(recorded.station(), Visible.text(inWords(recorded.reading())));
  }

  /** Returns a reading in a line: labels, number if it has one, values, status unless it is ok. */
  static String inWords(Reading reading) {
    List<String> what = new ArrayList<>();
    reading.labels().forEach((name, text) -> what.add(inWords(name, text)));
    reading.sequence().ifPresent(number -> what.add("number " + number.number()));
    String values =
        reading.values().stream().map(Telling::inWords).collect(Collectors.joining(", "));
    String status =
        reading.status() == Reading.Status.OK
            ? ""
            : ", " + reading.status().word().replace('-', ' ');
    return (what.isEmpty() ? "" : String.join(" ", what) + ": ") + values + status;
  }

  private static String inWords(String label, String text) {
    return switch (label) {
      case "test", "windings", "phase" -> text;
      case "on-load-tap" -> "on-load tap " + text;
      default -> label + " " + text;
    };
  }

  private void tell(Verdict verdict) {
    if (verdict.state() == Verdict.State.PASS
        && verdict.findings().isEmpty()
        && BESIDE_THE_PLATE.contains(verdict.criterion())) {
      passed
          .computeIfAbsent(place(verdict.subject()), place -> new ArrayList<>())
          .add(verdict.criterion());
      return;
    }
    tellPassed();
    String mark = verdict.state().passed() ? "  " : verdict.state().failed() ? "##" : "??";
    out.printf("       %s %s%n", mark, verdict.sentence());
    for (Finding finding : verdict.findings()) {
      out.printf("       %s %s%n", mark, inWords(finding));
    }
    if (!verdict.state().passed()) {
      out.printf("       %s Next: %s%n", mark, verdict.next());
    }
  }

  private void tellPassed() {
    if (!passed.isEmpty()) {
      out.printf(
          "          pass: %s%n",
          passed.entrySet().stream()
              .map(one -> one.getKey() + " " + String.join(", ", one.getValue()))
              .collect(Collectors.joining("; ")));
      passed.clear();
    }
  }

  /** Returns the place of a subject as people say it: {@code HV-LV A tap 3}. */
  static String place(String subject) {
    StringBuilder place = new StringBuilder();
    String tap = " tap ";
    for (String part : subject.substring(subject.indexOf('/') + 1).split("/", -1)) {
      boolean position = part.chars().allMatch(Character::isDigit);
      place.append(position ? tap : " ").append(part);
      tap = position ? " on-load tap " : tap;
    }
    return place.toString().strip();
  }

  /** Returns a finding as people read it: what is only one explanation says so. */
  static String inWords(Finding finding) {
    return finding.kind() == Finding.Kind.HINT ? "Hint: " + finding.sentence() : finding.sentence();
  }

  private void tell(TestSetEvent event) {
    if (event instanceof TestSetEvent.Opened opened) {
      out.printf(
          "Test set %s is open: %s, %s, %d steps.%n",
          event.testSet(), event.asset(), opened.nameplate().group(), opened.plan().steps().size());
    } else if (event instanceof TestSetEvent.Closed closed) {
      String result =
          new TreeMap<>(closed.result())
              .entrySet().stream()
                  .map(count -> "%d %s".formatted(count.getValue(), count.getKey()))
                  .collect(Collectors.joining(", "));
      out.printf("Test set %s is closed: %s.%n", event.testSet(), result);
    } else if (event instanceof TestSetEvent.During during) {
      out.printf(
          "Test set %s: %s%s by %s%s%n",
          event.testSet(),
          during.step().map(step -> "step " + step + " ").orElse(""),
          during.word(),
          Visible.text(event.by()),
          during.reason().isEmpty() ? "" : ": " + Visible.text(during.reason()));
    }
  }

  /** Returns a value with its unit as people write it. */
  static String inWords(Value value) {
    return value instanceof Value.Measured measured
        ? measured.text() + inWords(value.unit())
        : ((Value.Missing) value).reason().word();
  }

  /** Returns a unit as people write it behind a number, with the space where there is one. */
  static String inWords(Unit unit) {
    return UNITS.getOrDefault(unit.code(), " " + unit.code());
  }
}
