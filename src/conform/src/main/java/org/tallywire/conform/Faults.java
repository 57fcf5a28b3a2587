package org.tallywire.conform;

import java.util.LinkedHashMap;
import java.util.List;
import java.util.Map;
import java.util.regex.Pattern;

/** The faults of one side: each is told once, and counted where it is found again. */
final class Faults {

  /** What differs between two findings of the same fault. */
  private static final Pattern VARIES =
      Pattern.compile("\\b(req|boot)=[^ *\"]*|\\*[0-9A-Fa-f]{4}\\b|\\b[0-9]+ (ms|bytes)\\b");

  private final Map<String, Fault> all = new LinkedHashMap<>();

  /** A fault as it was found first, and how often it was found again. */
  private record Fault(String citation, String sentence, String check, int again) {

    String rule() {
      return Rule.idOf(citation);
    }

    String told() {
      String more = again == 0 ? "" : "; as before %d times more".formatted(again);
      return "%s: %s (%s%s)".formatted(citation, sentence, check, more);
    }
  }

  /** Adds a finding. */
  void add(String check, String citation, String sentence) {
    all.merge(
        citation + " " + masked(sentence),
        new Fault(citation, sentence, check, 0),
        (old, more) -> new Fault(old.citation, old.sentence, old.check, old.again + 1));
  }

  boolean isEmpty() {
    return all.isEmpty();
  }

  /** Returns how many rules are broken. */
  long rules() {
    return all.values().stream().map(Fault::rule).distinct().count();
  }

  /** Returns the sentences about a rule. */
  List<String> of(String rule) {
    return all.values().stream().filter(f -> f.rule().equals(rule)).map(Fault::told).toList();
  }

  List<String> told() {
    return all.values().stream().map(Fault::told).toList();
  }

  /** Returns a sentence without what differs between two findings of the same fault. */
  static String masked(String sentence) {
    return VARIES.matcher(sentence).replaceAll("#");
  }
}
