package org.tallywire.report;

import java.util.ArrayList;
import java.util.LinkedHashMap;
import java.util.List;
import java.util.Map;
import java.util.stream.Collectors;
import org.tallywire.acceptance.Finding;
import org.tallywire.acceptance.Step;
import org.tallywire.acceptance.Verdict;
import org.tallywire.api.Booking;
import org.tallywire.api.Reading;
import org.tallywire.api.Value;

/** Every step with its reading and what was found of it, comparisons of steps, and findings. */
final class StepTables {

  private static final int COLUMNS = 7;

  private final TestRecord record;
  private final Markup page;
  private final Plots plots;

  StepTables(TestRecord record, Markup page) {
    this.record = record;
    this.page = page;
    this.plots = new Plots(record);
  }

  void write() {
    page.heading("h2", "Results");
    page.element(
        "p",
        "quiet",
        "Readings are as the instrument sent them, other figures as their verdicts recorded them;"
            + " resistances that a criterion corrects stand corrected in its row. Deviation, limit and expanded uncertainty U are in the same unit; the verdict"
            + " follows from the decision rule below. Uncertainties are those of single readings"
            + " under the conditions of the test.");
    Map<String, List<TestRecord.StepResult>> groups = new LinkedHashMap<>();
    for (TestRecord.StepResult result : record.steps()) {
      groups
          .computeIfAbsent(
              "%s, %s".formatted(result.step().test(), result.step().windings()),
              key -> new ArrayList<>())
          .add(result);
    }
    groups.forEach(this::group);
    comparisons();
    findings();
  }

  private void group(String heading, List<TestRecord.StepResult> results) {
    page.heading("h3", heading);
    head("step", "steps");
    results.forEach(this::step);
    page.close("table");
    plots.write(page, results);
  }

  private void head(String first, String style) {
    page.open("table", style).open("thead").open("tr");
    page.element("th", "", first);
    page.element("th", "", "criterion");
    for (String column : List.of("measured", "expected", "deviation", "limit", "U")) {
      page.element("th", "n", column);
    }
    page.element("th", "v", "verdict").close("tr").close("thead");
  }

  private void step(TestRecord.StepResult result) {
    Step step = result.step();
    page.open("tbody");
    if (result.verdicts().isEmpty()) {
      page.open("tr", "first")
          .element("td", "", step.inWords())
          .raw("<td colspan=\"%d\">".formatted(COLUMNS))
          .text(unjudged(result))
          .close("td")
          .close("tr");
    }
    boolean first = true;
    for (Verdict verdict : result.verdicts()) {
      row(first ? step.inWords() : "", verdict, first);
      first = false;
    }
    result.taken().ifPresent(taken -> reading(step, taken));
    page.close("tbody");
  }

  private static String unjudged(TestRecord.StepResult result) {
    if (result.taken().isPresent()) {
      return "read; no criterion judged it";
    }
    return result
        .skipped()
        .map(skipped -> "left out by %s: %s".formatted(skipped.by(), skipped.reason()))
        .orElse("NOT TAKEN");
  }

  private void row(String subject, Verdict verdict, boolean first) {
    page.open("tr", first ? "first" : "")
        .element("td", "", subject)
        .element("td", "", verdict.criterion() + (Missing.stale(record, verdict) ? " †" : ""))
        .element("td", "n", Words.figure(verdict.measured(), verdict.unit()))
        .element("td", "n", Words.figure(verdict.expected(), verdict.unit()))
        .element("td", "n", Words.figure(verdict.deviation(), verdict.deviationUnit()))
        .element("td", "n", Words.limit(verdict))
        .element("td", "n", Words.uncertainty(verdict))
        .element("td", "v " + Words.style(verdict.state()), Words.state(verdict.state()))
        .close("tr");
  }

  private void reading(Step step, TestRecord.Taken taken) {
    Reading reading = taken.recorded().reading();
    page.open("tr", "reading")
        .element("td", "", "")
        .raw("<td colspan=\"%d\">".formatted(COLUMNS))
        .text(
            "%s%s; %s; %s; entry %d%s"
                .formatted(
                    values(reading),
                    reading.status() == Reading.Status.OK
                        ? ""
                        : "; the instrument calls it " + reading.status().word(),
                    when(reading),
                    ("leads " + step.terminals()).replace(' ', '\u00a0'),
                    taken.entry(),
                    booked(taken.booking())))
        .close("td")
        .close("tr");
  }

  /** A booking that a person made says so; others follow from labels or plan. */
  private static String booked(Booking booking) {
    return booking
        .reason()
        .map(reason -> "; booked by %s: %s".formatted(booking.by(), reason))
        .orElse("");
  }

  static String values(Reading reading) {
    return reading.values().stream()
        .map((Value value) -> value.quantity().name() + " " + Words.value(value))
        .collect(Collectors.joining(", "));
  }

  static String when(Reading reading) {
    return reading
        .takenAt()
        .map(at -> "taken %s (clock %s)".formatted(Words.exact(at), reading.clock().word()))
        .orElseGet(() -> "arrived " + Words.exact(reading.receivedAt()));
  }

  private void comparisons() {
    List<Verdict> comparisons =
        record.verdicts().stream()
            .filter(
                verdict ->
                    record.steps().stream()
                        .noneMatch(result -> result.step().id().equals(verdict.subject())))
            .toList();
    if (comparisons.isEmpty()) {
      return;
    }
    page.heading("h3", "Comparisons of steps");
    head("steps", "steps compared");
    for (Verdict verdict : comparisons) {
      page.open("tbody");
      row(verdict.subject(), verdict, true);
      page.close("tbody");
    }
    page.close("table");
    if (comparisons.stream().anyMatch(verdict -> Missing.stale(record, verdict))) {
      page.paragraph("† rests on a reading that counts no more");
    }
  }

  private void findings() {
    List<Verdict> telling =
        record.verdicts().stream()
            .filter(verdict -> !verdict.findings().isEmpty() || !verdict.state().passed())
            .toList();
    if (telling.isEmpty()) {
      return;
    }
    page.element("h3", "", "Findings");
    page.element(
        "p",
        "quiet",
        "What is seen follows from the figures; a hint is one explanation of several.");
    for (Verdict verdict : telling) {
      page.open("div", "together");
      page.open("p")
          .element("span", Words.style(verdict.state()), Words.state(verdict.state()))
          .text(" " + verdict.subject() + ", " + verdict.criterion() + ": " + verdict.sentence())
          .close("p");
      List<String> said = new ArrayList<>();
      for (Finding finding : verdict.findings()) {
        said.add(finding.kind().word() + ": " + finding.sentence());
      }
      if (!verdict.state().passed()) {
        said.add("next: " + verdict.next());
      }
      page.list(said).close("div");
    }
  }
}
