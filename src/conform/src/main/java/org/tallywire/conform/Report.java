package org.tallywire.conform;

import java.util.ArrayList;
import java.util.LinkedHashMap;
import java.util.List;
import java.util.Map;
import java.util.SortedSet;
import java.util.TreeSet;

/**
 * What was found, rule by rule: a rule is kept if every check that cites it held, and at least one
 * did. Used by one thread.
 */
public final class Report {

  private final Rule.Side side;
  private final Map<String, SortedSet<String>> held = new LinkedHashMap<>();
  private final Map<String, List<String>> broken = new LinkedHashMap<>();
  private final Map<String, List<String>> open = new LinkedHashMap<>();
  private final List<String> notes = new ArrayList<>();
  private final List<String> remarks = new ArrayList<>();

  Report(Rule.Side side) {
    this.side = side;
  }

  /** Notes that a check held; rules are cited as {@code L-7} or {@code L-7b}. */
  void held(String check, List<String> citations) {
    citations.forEach(c -> held.computeIfAbsent(id(c), id -> new TreeSet<>()).add(check));
  }

  /** Notes that a side broke the cited rule, in a sentence. */
  void broken(String check, String citation, String sentence) {
    broken
        .computeIfAbsent(id(citation), id -> new ArrayList<>())
        .add("%s: %s (%s)".formatted(citation, sentence, check));
  }

  /** Notes that a check could not be made, and why; of several with the same reason the first. */
  void open(String check, List<String> citations, String why) {
    for (String citation : citations) {
      List<String> reasons = open.computeIfAbsent(id(citation), id -> new ArrayList<>());
      if (reasons.stream().noneMatch(reason -> reason.startsWith(why + " ("))) {
        reasons.add(why + " (" + check + ")");
      }
    }
  }

  /** Adds a sentence to the line that sums up. */
  void remark(String sentence) {
    remarks.add(" " + sentence);
  }

  /** Notes what a SHOULD asks for and was not seen; it breaks no rule. */
  void note(String citation, String sentence) {
    String note = "%s: %s".formatted(citation, sentence);
    if (!notes.contains(note)) {
      notes.add(note);
    }
  }

  /** Returns the notes, which break no rule. */
  public List<String> notes() {
    return List.copyOf(notes);
  }

  /** Tells whether no rule was found broken. */
  public boolean isConforming() {
    return broken.isEmpty();
  }

  /** Returns the sentences about broken rules. */
  public List<String> faults() {
    return broken.values().stream().flatMap(List::stream).toList();
  }

  /** Returns one line a rule, one a note, and a last one that sums up. */
  public List<String> lines() {
    List<String> lines = new ArrayList<>();
    int kept = 0;
    int untested = 0;
    for (Rule rule : Rule.of(side)) {
      String id = rule.id();
      if (broken.containsKey(id)) {
        lines.add(line("BROKEN", rule, String.join("; ", broken.getOrDefault(id, List.of()))));
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
                    : rule.how(side)));
      }
    }
    notes.forEach(note -> lines.add("note      " + note));
    lines.add(
        "%d rules kept, %d broken, %d untested".formatted(kept, broken.size(), untested)
            + (isConforming() ? "." : ": it does not conform.")
            + String.join("", remarks));
    return lines;
  }

  private String unseen(String id) {
    List<String> why = open.getOrDefault(id, List.of());
    return why.isEmpty() ? "" : "; not seen: " + String.join("; ", why);
  }

  private static String line(String word, Rule rule, String words) {
    return "%-8s  %-4s  %s: %s".formatted(word, rule.id(), rule.title(), words);
  }

  private static String id(String citation) {
    return citation.replaceAll("[a-z]$", "");
  }
}
