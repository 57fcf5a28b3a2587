package org.tallywire.report;

import java.time.Instant;
import java.util.ArrayList;
import java.util.Comparator;
import java.util.List;
import java.util.Map;
import org.tallywire.acceptance.PlateFacts;
import org.tallywire.acceptance.Verdict;
import org.tallywire.acceptance.Verdict.State;
import org.tallywire.testset.InstrumentEvent;
import org.tallywire.testset.InstrumentStanding;
import org.tallywire.testset.TestSetEvent;

/** What a record says first: what was tested, what came of it, what is missing, and with what. */
final class FrontPage {

  private final TestRecord record;
  private final Markup page;

  FrontPage(TestRecord record, Markup page) {
    this.record = record;
    this.page = page;
  }

  void write(Instant made, String program) {
    TestSetEvent.Opened opened = record.opened();
    page.element("h1", "", "Test record of " + opened.asset());
    page.element(
        "p",
        "quiet",
        "Test set %s. Made %s by %s from %s of journal %s."
            .formatted(
                opened.testSet(),
                Words.time(made),
                program,
                HtmlReport.counted(record.entries().size(), "entry", "entries"),
                record.journal()));
    incomplete();
    result();
    who();
    page.element("h2", "", "Nameplate").facts(PlateFacts.of(opened.nameplate()));
    instruments();
    conditions();
  }

  private void incomplete() {
    List<String> missing = record.missing();
    if (missing.isEmpty()) {
      return;
    }
    page.open("div", "box incomplete")
        .element("p", "big", "INCOMPLETE: this record is not the whole of its plan.")
        .list(missing)
        .close("div");
  }

  private void result() {
    List<Verdict> failed = record.in(State.FAIL, State.CONDITIONAL_FAIL);
    List<Verdict> undecided = record.in(State.UNDECIDED);
    List<Verdict> conditional = record.in(State.CONDITIONAL_PASS);
    boolean whole = record.missing().isEmpty() && !record.verdicts().isEmpty();
    page.open("div", "box result " + (!failed.isEmpty() ? "failed" : whole ? "passed" : "open"));
    page.element("p", "big", headline(failed, whole));
    page.paragraph(counts());
    listed("Outside their limits", failed);
    listed("Undecided", undecided);
    listed("Within their limits by less than the uncertainty", conditional);
    page.close("div");
  }

  private String headline(List<Verdict> failed, boolean whole) {
    if (record.verdicts().isEmpty()) {
      return "? Nothing was judged.";
    }
    if (!failed.isEmpty()) {
      return "✗ FAIL: %d of %s outside the limits."
          .formatted(
              failed.size(),
              HtmlReport.counted(record.verdicts().size(), "verdict is", "verdicts are"));
    }
    return whole
        ? "✓ Pass: every verdict is within its limit."
        : "? Nothing that was judged is outside its limit; the plan is not done.";
  }

  private String counts() {
    List<String> parts = new ArrayList<>();
    for (State state : State.values()) {
      int count = record.in(state).size();
      if (count > 0) {
        parts.add("%s: %d".formatted(Words.state(state), count));
      }
    }
    long done = record.steps().stream().filter(step -> step.taken().isPresent()).count();
    return "%d of %s read. Verdicts: %s."
        .formatted(
            done,
            HtmlReport.counted(record.steps().size(), "step", "steps"),
            parts.isEmpty() ? "none" : String.join(", ", parts));
  }

  private void listed(String heading, List<Verdict> verdicts) {
    if (verdicts.isEmpty()) {
      return;
    }
    page.element("p", "", heading + ":").open("ul");
    for (Verdict verdict : verdicts) {
      page.open("li")
          .element("span", Words.style(verdict.state()), Words.state(verdict.state()))
          .text(" " + verdict.sentence())
          .close("li");
    }
    page.close("ul");
  }

  private void who() {
    TestSetEvent.Opened opened = record.opened();
    List<Map.Entry<String, String>> facts = new ArrayList<>();
    opened.terms().particulars().forEach((word, says) -> facts.add(Map.entry(word, says)));
    facts.add(
        Map.entry(
            "opened",
            Words.time(opened.at()) + " by " + Words.by(opened.by(), "the configuration")));
    facts.add(
        Map.entry(
            "closed",
            record
                .closed()
                .map(
                    closed ->
                        Words.time(closed.at())
                            + " by "
                            + Words.by(closed.by(), "the bridge, every step being done")
                            + (closed.reason().isBlank() ? "" : ": " + closed.reason()))
                .orElse("not closed")));
    readingTimes(facts);
    facts.add(Map.entry("stations", String.join(", ", opened.stations())));
    facts.add(Map.entry("readings find their step", byWhat(opened)));
    page.element("h2", "", "What, who, when, where").facts(facts);
  }

  private static String byWhat(TestSetEvent.Opened opened) {
    return switch (opened.terms().order()) {
      case LABELS -> "by what the instrument says that it measured";
      case PLAN -> "by their labels, else in the order of the plan";
    };
  }

  private void readingTimes(List<Map.Entry<String, String>> facts) {
    List<Instant> arrived =
        record.steps().stream()
            .flatMap(step -> step.taken().stream())
            .map(taken -> taken.recorded().reading().receivedAt())
            .sorted(Comparator.naturalOrder())
            .toList();
    if (!arrived.isEmpty()) {
      facts.add(
          Map.entry(
              "readings arrived",
              Words.time(arrived.get(0)) + " to " + Words.time(arrived.get(arrived.size() - 1))));
    }
  }

  private void instruments() {
    page.open("div", "together").element("h2", "", "Instruments");
    instrumentTable();
    page.close("div");
  }

  private void instrumentTable() {
    if (record.instruments().isEmpty()) {
      page.paragraph("No reading was booked, so no instrument is named.");
      return;
    }
    page.table(
        "",
        "instrument",
        "serial",
        "firmware",
        "read at",
        "readings",
        "clock",
        "calibration",
        "verification");
    for (TestRecord.InstrumentUse use : record.instruments()) {
      InstrumentStanding standing = use.standing();
      page.row(
          Words.instrument(standing.instrument()),
          Words.or(standing.instrument().serial(), "not told"),
          Words.or(standing.instrument().firmware(), "not told"),
          "%s, driver %s".formatted(use.station(), use.driver()),
          String.valueOf(use.readings()),
          use.clock().word(),
          calibration(use),
          verification(use));
    }
    page.endTable();
  }

  private static String calibration(TestRecord.InstrumentUse use) {
    InstrumentStanding standing = use.standing();
    if (standing.due().isEmpty()) {
      return "none is recorded";
    }
    String issuer =
        use.events().stream()
            .filter(InstrumentEvent.Calibrated.class::isInstance)
            .map(InstrumentEvent.Calibrated.class::cast)
            .filter(event -> event.certificate().equals(standing.certificate()))
            .map(event -> " of %s by %s".formatted(event.calibratedOn(), event.issuer()))
            .reduce((first, second) -> second)
            .orElse("");
    return "certificate %s%s, due %s"
        .formatted(
            Words.or(standing.certificate(), "not named"), issuer, standing.due().orElseThrow());
  }

  private static String verification(TestRecord.InstrumentUse use) {
    InstrumentStanding standing = use.standing();
    if (standing.verified().isEmpty()) {
      return "none is recorded";
    }
    String sentence =
        use.events().stream()
            .filter(InstrumentEvent.Verified.class::isInstance)
            .map(InstrumentEvent.Verified.class::cast)
            .filter(event -> event.at().equals(standing.verified().orElseThrow()))
            .map(event -> ". " + event.sentence())
            .reduce((first, second) -> second)
            .orElse("");
    return standing.state().map(Words::state).orElse("")
        + ", "
        + Words.time(standing.verified().orElseThrow())
        + sentence
        + standing.failure().map(failure -> " ✗ " + failure).orElse("");
  }

  private void conditions() {
    page.open("div", "together").element("h2", "", "Conditions");
    boolean any = false;
    for (org.tallywire.testset.Note note : record.notes()) {
      if (note.values().isEmpty()) {
        continue;
      }
      if (!any) {
        page.table("", "quantity", "value", "noted by", "at", "about");
      }
      any = true;
      for (org.tallywire.api.Value.Measured value : note.values()) {
        page.row(
            value.quantity().name(),
            Words.value(value),
            note.by(),
            Words.time(note.at()),
            note.step().orElse("the whole test set"));
      }
    }
    if (any) {
      page.endTable();
    } else {
      page.paragraph(
          "No person noted any. Temperatures that instruments sent stand with their readings.");
    }
    page.close("div");
  }
}
