package org.tallywire.report;

import java.util.ArrayList;
import java.util.LinkedHashMap;
import java.util.List;
import java.util.Map;
import java.util.stream.Collectors;
import org.tallywire.acceptance.Step;
import org.tallywire.acceptance.Verdict;
import org.tallywire.api.Reading;
import org.tallywire.testset.Checklist;

/**
 * Says what a record lacks: it is for the first page, so that nobody takes a part for the whole.
 */
final class Missing {

  private final TestRecord record;
  private final List<String> sentences = new ArrayList<>();

  private Missing(TestRecord record) {
    this.record = record;
  }

  static List<String> of(TestRecord record) {
    Missing missing = new Missing(record);
    missing.life();
    missing.steps();
    missing.verdicts();
    missing.comparisons();
    missing.checklists();
    missing.gaps();
    return List.copyOf(missing.sentences);
  }

  private void life() {
    if (record.closed().isEmpty()) {
      sentences.add("The test set is not closed; more may come.");
    }
  }

  private void steps() {
    List<String> open =
        record.steps().stream()
            .filter(result -> result.taken().isEmpty() && result.skipped().isEmpty())
            .map(result -> named(result.step()))
            .toList();
    if (!open.isEmpty()) {
      sentences.add(
          "Of %s %d %s no reading: %s."
              .formatted(
                  HtmlReport.counted(record.steps().size(), "step", "steps"),
                  open.size(),
                  open.size() == 1 ? "has" : "have",
                  String.join("; ", open)));
    }
    for (TestRecord.StepResult result : record.steps()) {
      result
          .skipped()
          .ifPresent(
              skipped ->
                  sentences.add(
                      "%s was left out by %s: %s"
                          .formatted(named(result.step()), skipped.by(), ended(skipped.reason()))));
      result
          .taken()
          .map(taken -> taken.recorded().reading().status())
          .filter(status -> status != Reading.Status.OK)
          .ifPresent(
              status ->
                  sentences.add(
                      "%s: the instrument calls its reading %s."
                          .formatted(named(result.step()), status.word())));
    }
  }

  private void verdicts() {
    int undecided = record.in(Verdict.State.UNDECIDED).size();
    if (undecided > 0) {
      sentences.add(
          "%s undecided, listed below."
              .formatted(undecided == 1 ? "One verdict is" : undecided + " verdicts are"));
    }
    if (!record.differences().isEmpty()) {
      sentences.add(
          "Not every verdict could be derived again from the records: %s"
              .formatted(ended(String.join("; ", record.differences()))));
    }
  }

  private void comparisons() {
    Map<String, List<String>> stale = new LinkedHashMap<>();
    for (Verdict verdict : record.verdicts()) {
      if (stale(record, verdict)) {
        stale
            .computeIfAbsent(verdict.subject(), subject -> new ArrayList<>())
            .add(verdict.criterion());
      }
    }
    if (!stale.isEmpty()) {
      sentences.add(
          "Comparisons that rest on a reading that counts no more: %s."
              .formatted(
                  stale.entrySet().stream()
                      .map(one -> String.join(", ", one.getValue()) + " of " + one.getKey())
                      .collect(Collectors.joining("; "))));
    }
  }

  /**
   * Tells whether a verdict compares a reading that counts no more: a comparison stays until the
   * next of its kind, also when a step of it has no reading now.
   */
  static boolean stale(TestRecord record, Verdict verdict) {
    return record.superseded().stream()
        .map(one -> one.taken().booking())
        .anyMatch(
            booking ->
                verdict.bookings().contains(booking.id())
                    && !verdict.subject().equals(booking.step())
                    && verdict.subject().startsWith(testAndWindings(booking.step()))
                    && record.taken(booking.step()).isEmpty());
  }

  private static String testAndWindings(String step) {
    int first = step.indexOf('/');
    int second = step.indexOf('/', first + 1);
    return second < 0 ? step : step.substring(0, second);
  }

  private void checklists() {
    for (Checklist list : record.opened().terms().checklists()) {
      List<Checklist.Item> open = record.open(list.moment());
      if (!open.isEmpty()) {
        sentences.add(
            "The list \"%s\" is not answered with yes: %s.%s"
                .formatted(
                    list.name(),
                    open.stream().map(Checklist.Item::id).collect(Collectors.joining(", ")),
                    record
                        .checks()
                        .override(list.moment())
                        .flatMap(
                            answer ->
                                answer
                                    .override()
                                    .map(
                                        why ->
                                            " %s let the work go on: %s"
                                                .formatted(answer.by(), ended(why))))
                        .orElse("")));
      }
    }
  }

  private void gaps() {
    if (!record.gaps().isEmpty()) {
      sentences.add(
          "%s declared missing on its stations while it was open, listed below."
              .formatted(
                  record.gaps().size() == 1
                      ? "One stretch of readings is"
                      : record.gaps().size() + " stretches of readings are"));
    }
  }

  static String named(Step step) {
    return step.test() + " " + step.inWords();
  }

  /** Returns a text that ends like a sentence. */
  static String ended(String text) {
    return text.matches("(?s).*[.!?]") ? text : text + ".";
  }
}
