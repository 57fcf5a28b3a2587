package org.tallywire.bridge;

import java.util.List;
import java.util.Optional;
import java.util.stream.Collectors;
import org.tallywire.acceptance.Step;
import org.tallywire.acceptance.Verdict;
import org.tallywire.api.RecordedReading;
import org.tallywire.testset.Checklist;
import org.tallywire.testset.TestSet;
import org.tallywire.testset.TestSetEvent;

/** How a test set stands, as a person reads it in a terminal. */
final class TestSetText {

  private final TestSet testSet;
  private final Optional<TestSetEvent.Closed> closed;

  TestSetText(KnownTestSets.Known known) {
    this.testSet = known.testSet();
    this.closed = known.closed();
  }

  /**
   * Returns all of it.
   *
   * @param readings also the ids of the readings
   */
  String whole(boolean readings) {
    StringBuilder text = new StringBuilder();
    TestSetEvent.Opened opened = testSet.opened();
    text.append(
        "Test set %s: %s, %s, fed by %s, opened %s%s%n"
            .formatted(
                opened.testSet(),
                opened.asset(),
                opened.nameplate().group(),
                String.join(", ", opened.stations()),
                opened.at(),
                opened.by().isEmpty() ? " by the configuration" : " by " + opened.by()));
    opened
        .terms()
        .particulars()
        .forEach((word, said) -> text.append("  %s: %s%n".formatted(word, said)));
    for (Checklist.Moment moment : Checklist.Moment.values()) {
      opened.terms().checklist(moment).ifPresent(list -> text.append(list(list)));
    }
    text.append('\n');
    int widest =
        opened.plan().steps().stream().mapToInt(step -> step.id().length()).max().orElse(0);
    for (Step step : opened.plan().steps()) {
      String id = step.id() + " ".repeat(widest - step.id().length());
      text.append("  %-2s %s  %s%n".formatted(mark(step), id, said(step)));
      if (readings) {
        testSet
            .reading(step.id())
            .ifPresent(reading -> text.append("       %s%n".formatted(reading.id())));
      }
    }
    return text.append('\n').append(next()).toString();
  }

  private String list(Checklist list) {
    int open = testSet.checks().open(list.moment()).size();
    String state =
        testSet
            .checks()
            .override(list.moment())
            .map(by -> "passed over by %s: %s".formatted(by.by(), by.override().orElse("")))
            .orElse(
                open == 0
                    ? "answered"
                    : "%d of %d items are not answered with yes"
                        .formatted(open, list.items().size()));
    return "  list %s (%s): %s%n".formatted(list.name(), list.moment().word(), state);
  }

  private String mark(Step step) {
    List<Verdict> verdicts = verdicts(step);
    if (verdicts.stream().anyMatch(verdict -> verdict.state().failed())) {
      return "##";
    }
    return verdicts.stream().anyMatch(verdict -> !verdict.state().passed()) ? "??" : "";
  }

  private String said(Step step) {
    TestSetEvent.Skipped skipped = testSet.skipped().get(step.id());
    if (skipped != null) {
      return "left out by %s: %s".formatted(skipped.by(), skipped.reason());
    }
    Optional<RecordedReading> reading = testSet.reading(step.id());
    if (reading.isEmpty()) {
      return "-";
    }
    String values =
        reading.get().reading().values().stream()
            .map(Telling::inWords)
            .collect(Collectors.joining(", "));
    List<Verdict> verdicts = verdicts(step);
    List<String> notPassed =
        verdicts.stream()
            .filter(verdict -> !verdict.state().passed())
            .map(verdict -> verdict.criterion() + " " + verdict.state().word())
            .toList();
    return values
        + "  "
        + (verdicts.isEmpty()
            ? "not judged"
            : notPassed.isEmpty() ? "pass" : String.join(", ", notPassed));
  }

  private List<Verdict> verdicts(Step step) {
    return testSet.verdicts().stream().filter(v -> v.subject().equals(step.id())).toList();
  }

  /** Returns what comes next, in lines. */
  String next() {
    if (closed.isPresent()) {
      return "It was closed %s%s%s.%n"
          .formatted(
              closed.get().at(),
              closed.get().by().isEmpty() ? "" : " by " + closed.get().by(),
              closed.get().reason().isEmpty() ? "" : ": " + closed.get().reason());
    }
    Optional<String> hindrance = testSet.hindrance();
    if (hindrance.isPresent()) {
      return PlanText.lines("", "  ", "Readings are not booked: " + hindrance.get());
    }
    Optional<Step> next = testSet.next();
    if (next.isEmpty()) {
      return "Every step has its reading or is left out. It is closed with test-set close.%n"
          .formatted();
    }
    StringBuilder text = new StringBuilder();
    text.append("Next: %s, terminals %s%n".formatted(next.get().id(), next.get().terminals()));
    PlanSheet.sketch(testSet.opened().nameplate().group(), next.get())
        .ifPresent(sketch -> text.append(sketch.text().indent(2)));
    return text.toString();
  }
}
