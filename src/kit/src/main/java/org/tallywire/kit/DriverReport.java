package org.tallywire.kit;

import java.util.ArrayList;
import java.util.EnumMap;
import java.util.List;
import java.util.Map;

/**
 * What was found about a driver, rule by rule, in sentences. Filled by {@link DriverCheck}; safe
 * for use by many threads.
 */
public final class DriverReport {

  private static final int MOST_SENTENCES = 4;

  private final Map<DriverRule, List<String>> broken = new EnumMap<>(DriverRule.class);
  private final Map<DriverRule, Integer> trials = new EnumMap<>(DriverRule.class);
  private final Map<DriverRule, String> passed = new EnumMap<>(DriverRule.class);
  private final Map<DriverRule, String> untested = new EnumMap<>(DriverRule.class);
  private final List<String> notes = new ArrayList<>();
  private boolean sealed;

  DriverReport() {}

  /** What became of a rule. */
  public enum Outcome {
    PASSED("passed"),
    BROKEN("BROKEN"),
    UNTESTED("untested");

    private final String word;

    Outcome(String word) {
      this.word = word;
    }
  }

  /** Takes note that a rule held, with what was tried. */
  synchronized void passed(DriverRule rule, String words) {
    if (!sealed) {
      passed.put(rule, words);
    }
  }

  /** Takes note that a rule is broken. */
  synchronized void broken(DriverRule rule, String sentence) {
    if (!sealed) {
      List<String> sentences = broken.computeIfAbsent(rule, r -> new ArrayList<>());
      trials.merge(rule, 1, Integer::sum);
      if (sentences.size() < MOST_SENTENCES && !sentences.contains(sentence)) {
        sentences.add(sentence);
      }
    }
  }

  /** Takes note of why a rule could not be tested. */
  synchronized void untested(DriverRule rule, String reason) {
    if (!sealed) {
      untested.put(rule, reason);
    }
  }

  /** Adds something that people should know and that breaks no rule. */
  synchronized void note(String sentence) {
    if (!sealed && !notes.contains(sentence)) {
      notes.add(sentence);
    }
  }

  /** Takes nothing more, as from a driver that did not come back. */
  synchronized void seal() {
    sealed = true;
  }

  /** Returns what became of a rule. */
  public synchronized Outcome outcome(DriverRule rule) {
    if (broken.containsKey(rule)) {
      return Outcome.BROKEN;
    }
    return passed.containsKey(rule) && !untested.containsKey(rule)
        ? Outcome.PASSED
        : Outcome.UNTESTED;
  }

  /**
   * Returns how the rule was broken, at most four sentences; what was tried, or why nothing was.
   */
  public synchronized List<String> sentences(DriverRule rule) {
    return switch (outcome(rule)) {
      case BROKEN -> List.copyOf(broken.getOrDefault(rule, List.of()));
      case PASSED -> List.of(passed.getOrDefault(rule, ""));
      case UNTESTED ->
          List.of(untested.getOrDefault(rule, "not reached, since the check ended before"));
    };
  }

  /** Returns what people should know besides. */
  public synchronized List<String> notes() {
    return List.copyOf(notes);
  }

  /** Tells whether no rule is broken. */
  public synchronized boolean isSound() {
    return broken.isEmpty();
  }

  /** Returns the lines of a sentence, those behind the first further in. */
  private static List<String> indented(String sentence) {
    List<String> lines = new ArrayList<>();
    for (String line : sentence.split("\n", -1)) {
      lines.add("                  " + (lines.isEmpty() ? "" : "  ") + line);
    }
    return lines;
  }

  /** Returns the report for people: a rule a line, more below one that is broken. */
  public synchronized List<String> lines() {
    List<String> lines = new ArrayList<>();
    Map<Outcome, Integer> counts = new EnumMap<>(Outcome.class);
    for (DriverRule rule : DriverRule.values()) {
      Outcome outcome = outcome(rule);
      counts.merge(outcome, 1, Integer::sum);
      lines.add("%-8s %-6s %s".formatted(outcome.word, rule.id(), rule.sentence()));
      if (outcome != Outcome.PASSED) {
        sentences(rule).forEach(sentence -> lines.addAll(indented(sentence)));
      }
      int more = trials.getOrDefault(rule, 0) - broken.getOrDefault(rule, List.of()).size();
      if (more > 0) {
        lines.add("                  and so in %d more trials".formatted(more));
      }
    }
    notes.forEach(sentence -> lines.add("note            " + sentence));
    lines.add(
        "%d rules passed, %d broken, %d untested%s"
            .formatted(
                counts.getOrDefault(Outcome.PASSED, 0),
                counts.getOrDefault(Outcome.BROKEN, 0),
                counts.getOrDefault(Outcome.UNTESTED, 0),
                isSound() ? "." : ": the driver is not ready."));
    return lines;
  }
}
