package org.tallywire.bridge;

import java.util.List;
import java.util.Map;
import org.tallywire.acceptance.Caution;
import org.tallywire.acceptance.Doubt;
import org.tallywire.acceptance.winding.LeadSketch;

/** Writes a sheet of a plan for a terminal. */
final class PlanText {

  private static final int WIDTH = 88;

  private final PlanSheet sheet;
  private final StringBuilder text = new StringBuilder();

  PlanText(PlanSheet sheet) {
    this.sheet = sheet;
  }

  /**
   * Returns all of it.
   *
   * @param leads whether the sketches of the leads come too
   */
  String write(boolean leads) {
    facts();
    doubts();
    heading("MIND");
    wrapped("  ", "  ", Caution.FIRST);
    for (Caution caution : sheet.cautions()) {
      wrapped(
          "  - ",
          "    ",
          "%s (%s)"
              .formatted(
                  caution.sentence(), PlanSheet.cited(caution.source(), caution.certainty())));
    }
    int steps = sheet.parts().stream().mapToInt(part -> part.rows().size()).sum();
    heading(
        "PLAN: %d steps, criteria %s %s"
            .formatted(steps, sheet.criteria().name(), sheet.criteria().version()));
    sheet.parts().forEach(this::part);
    if (leads) {
      heading("LEADS");
      for (LeadSketch sketch : sheet.sketches().values()) {
        text.append(sketch.text()).append('\n');
      }
    }
    return text.toString();
  }

  /** Writes plate and doubts alone. */
  String plateOnly() {
    facts();
    doubts();
    return text.toString();
  }

  private void facts() {
    heading("NAMEPLATE");
    for (Map.Entry<String, String> fact : sheet.facts()) {
      wrapped("  %-16s".formatted(fact.getKey()), " ".repeat(18), fact.getValue());
    }
  }

  private void doubts() {
    List<Doubt> doubts = sheet.doubts();
    heading(
        doubts.isEmpty()
            ? "PLAUSIBILITY: nothing unusual was found on the plate"
            : "PLAUSIBILITY: %d to answer before a lead is connected".formatted(doubts.size()));
    for (Doubt doubt : doubts) {
      wrapped(
          "  ? ",
          "    ",
          "%s (%s)"
              .formatted(
                  doubt.sentence(),
                  PlanSheet.cited(doubt.rule().source(), doubt.rule().certainty())));
    }
  }

  private void part(PlanSheet.Part part) {
    text.append('\n').append("  ").append(part.heading()).append('\n');
    part.limits().forEach(limit -> wrapped("    = ", "      ", limit));
    part.notes().forEach(note -> wrapped("    ! ", "      ", note));
    int ids = part.rows().stream().mapToInt(row -> row.step().id().length()).max().orElse(0);
    int leads =
        part.rows().stream().mapToInt(row -> row.step().terminals().length()).max().orElse(0);
    for (PlanSheet.Row row : part.rows()) {
      String begin =
          "  %3d  %s  %s"
              .formatted(
                  row.number(),
                  padded(row.step().id(), ids),
                  padded(row.step().terminals(), leads));
      if (begin.length() + 2 + row.expected().length() <= WIDTH + 20) {
        text.append((begin + "  " + row.expected()).stripTrailing()).append('\n');
      } else {
        text.append(begin.stripTrailing()).append('\n');
        wrapped("       ", "       ", row.expected());
      }
      row.notes().forEach(note -> wrapped("       ! ", "         ", note));
    }
  }

  private static String padded(String word, int width) {
    return word + " ".repeat(Math.max(0, width - word.length()));
  }

  private void heading(String words) {
    text.append(text.isEmpty() ? "" : "\n").append(words).append('\n');
  }

  private void wrapped(String first, String rest, String sentence) {
    text.append(lines(first, rest, sentence));
  }

  /**
   * Returns a sentence as lines that fit a terminal, each with its end.
   *
   * @param first what the first line begins with
   * @param rest what every other line begins with
   */
  static String lines(String first, String rest, String sentence) {
    StringBuilder lines = new StringBuilder();
    StringBuilder line = new StringBuilder(first);
    boolean begun = false;
    for (String word : sentence.split(" ", -1)) {
      if (begun && line.length() + 1 + word.length() > WIDTH) {
        lines.append(line).append('\n');
        line = new StringBuilder(rest);
        begun = false;
      }
      line.append(begun ? " " : "").append(word);
      begun = true;
    }
    return lines.append(line).append('\n').toString();
  }
}
