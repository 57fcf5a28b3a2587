package org.tallywire.bridge;

import java.util.ArrayList;
import java.util.List;
import java.util.Set;
import org.tallywire.acceptance.Verdict;

/**
 * What is wrong with a pretend unit, and which verdicts may fail because of it; one must.
 *
 * @param fault {@code none}, {@code bad-joint} or {@code shorted-turns}
 * @param windings {@code HV} or {@code LV}, empty for none
 * @param phase A, B or C, empty for none
 */
record Planted(String fault, String windings, String phase) {

  private static final Planted NOTHING = new Planted("none", "", "");

  /** What compares turns or excitation of several steps, the faulty phase's among them. */
  private static final Set<String> COMPARISONS_OF_TURNS =
      Set.of("excitation-pattern", "ratio-spread", "ratio-steps", "winding-group");

  /** Reads the simulator's own words: fault, windings, phase. */
  static Planted of(List<String> lines) {
    if (lines.isEmpty()) {
      return NOTHING;
    }
    String[] words = lines.get(0).split(" ", -1);
    return words.length == 3 ? new Planted(words[0], words[1], words[2]) : NOTHING;
  }

  String inWords() {
    return switch (fault) {
      case "bad-joint" -> "a bad joint in %s phase %s".formatted(windings, phase);
      case "shorted-turns" -> "shorted turns in %s phase %s".formatted(windings, phase);
      default -> "none: a healthy unit";
    };
  }

  String foundInWords() {
    return fault.equals("none")
        ? "nothing was planted and nothing was found."
        : "the fault planted in %s phase %s was found, and nothing else."
            .formatted(windings, phase);
  }

  /**
   * Returns a sentence for every verdict that fails and must not, and one if none fails that must.
   */
  List<String> differences(List<Verdict> verdicts) {
    List<String> wrong = new ArrayList<>();
    for (Verdict verdict : verdicts) {
      if (!verdict.state().passed() && !mayFail(verdict)) {
        wrong.add("this is sound, yet: " + verdict.sentence());
      }
    }
    if (!fault.equals("none") && verdicts.stream().noneMatch(v -> v.state().failed())) {
      wrong.add("the planted fault was not found: " + inWords());
    }
    return wrong;
  }

  private boolean mayFail(Verdict verdict) {
    String subject = verdict.subject();
    return switch (fault) {
      case "bad-joint" ->
          isResistanceOfPhase(subject)
              || (verdict.criterion().equals("resistance-unbalance")
                  && subject.startsWith("winding-resistance/" + windings));
      case "shorted-turns" ->
          subject.startsWith("turns-ratio/HV-LV/" + phase + "/")
              || COMPARISONS_OF_TURNS.contains(verdict.criterion());
      default -> false;
    };
  }

  private boolean isResistanceOfPhase(String subject) {
    String step = "winding-resistance/%s/%s".formatted(windings, phase);
    return subject.equals(step) || subject.startsWith(step + "/");
  }
}
