package org.tallywire.conform;

import java.util.ArrayList;
import java.util.LinkedHashMap;
import java.util.List;
import java.util.Map;
import java.util.SortedSet;
import java.util.TreeSet;

/**
 * What was found, rule by rule: a rule is kept if every check that cites it held, and at least one
 * did. Safe for use by many threads, so that it can be told while the checks go on.
 */
public final class Report {

  private final Rule.Side side;
  private final Map<String, SortedSet<String>> held = new LinkedHashMap<>();
  private final Faults faults = new Faults();
  private final Map<String, List<String>> open = new LinkedHashMap<>();
  private final Map<String, String> limits = new LinkedHashMap<>();
  private final List<String> notes = new ArrayList<>();
  private final List<String> remarks = new ArrayList<>();

  Report(Rule.Side side) {
    this.side = side;
  }

  /** Notes that a check held; rules are cited as {@code L-7} or {@code L-7b}. */
  synchronized void held(String check, List<String> citations) {
    citations.forEach(c -> held.computeIfAbsent(Rule.idOf(c), id -> new TreeSet<>()).add(check));
  }

  /** Notes that a side broke the cited rule, in a sentence. */
  synchronized void broken(String check, String citation, String sentence) {
    faults.add(check, citation, sentence);
  }

  /** Notes that a check could not be made, and why; of several with the same reason the first. */
  synchronized void open(String check, List<String> citations, String why) {
    for (String citation : citations) {
      List<String> reasons = open.computeIfAbsent(Rule.idOf(citation), id -> new ArrayList<>());
      if (reasons.stream().noneMatch(r -> r.equals(why) || r.startsWith(why + " ("))) {
        reasons.add(check.isEmpty() ? why : why + " (" + check + ")");
      }
    }
  }

  /** Notes what of rules that are kept cannot be seen. */
  synchronized void limit(List<String> citations, String why) {
    citations.forEach(c -> limits.put(Rule.idOf(c), why));
  }

  /** Adds a sentence to the line that sums up. */
  synchronized void remark(String sentence) {
    remarks.add(" " + sentence);
  }

  /** Notes what a SHOULD asks for and was not seen; it breaks no rule. */
  synchronized void note(String citation, String sentence) {
    String note = "%s: %s".formatted(citation, sentence);
    if (!notes.contains(note)) {
      notes.add(note);
    }
  }

  /** Returns the notes, which break no rule. */
  public synchronized List<String> notes() {
    return List.copyOf(notes);
  }

  /** Tells whether no rule was found broken. */
  public synchronized boolean isConforming() {
    return faults.isEmpty();
  }

  /** Returns the sentences about broken rules. */
  public synchronized List<String> faults() {
    return faults.told();
  }

  /** Returns one line a rule, one a note, and a last one that sums up. */
  public synchronized List<String> lines() {
    List<String> lines = new ArrayList<>();
    int kept = 0;
    int untested = 0;
    for (Rule rule : Rule.of(side)) {
      String id = rule.id();
      List<String> against = faults.of(id);
      if (!against.isEmpty()) {
        lines.add(line("BROKEN", rule, String.join("; ", against)));
      } else if (held.containsKey(id)) {
        kept++;
        int checks = held.getOrDefault(id, new TreeSet<>()).size();
        String words = checks == 1 ? "1 check" : checks + " checks";
        lines.add(line("kept", rule, words + unseen(id)));
      } else {
        untested++;
        lines.add(
            line(
                "untested",
                rule,
                open.containsKey(id)
                    ? String.join("; ", open.getOrDefault(id, List.of()))
                    : unshown(rule.how(side))));
      }
    }
    notes.forEach(note -> lines.add("note      " + note));
    lines.add(
        "%d rules kept, %d broken, %d untested".formatted(kept, faults.rules(), untested)
            + (isConforming() ? "." : ": it does not conform.")
            + String.join("", remarks));
    return lines;
  }

  private static String unshown(String how) {
    return how.startsWith("checked") ? "not reached: nothing that was heard shows it" : how;
  }

  private String unseen(String id) {
    String limit = limits.containsKey(id) ? "; " + limits.getOrDefault(id, "") : "";
    List<String> why = open.getOrDefault(id, List.of());
    if (why.isEmpty()) {
      return limit;
    }
    String rest = why.get(0).startsWith("not played") ? "; the rest " : "; not seen: ";
    return limit + rest + String.join("; ", why);
  }

  private static String line(String word, Rule rule, String words) {
    return "%-8s  %-4s  %s: %s".formatted(word, rule.id(), rule.title(), words);
  }
}
