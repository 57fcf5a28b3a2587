package org.tallywire.acceptance.winding;

import java.util.ArrayList;
import java.util.List;
import java.util.function.Function;
import java.util.function.UnaryOperator;
import java.util.regex.Matcher;
import java.util.regex.Pattern;
import java.util.stream.Collectors;

/**
 * Where the leads of one ratio measurement go: an excited HV pair, a measured LV pair, and
 * terminals tied together. A plus lead and the other plus lead are in phase when the reading is.
 *
 * @param excitePlus HV terminal of the exciting lead "+"
 * @param exciteMinus HV terminal of the exciting lead "-"
 * @param measurePlus LV terminal of the measuring lead "+"
 * @param measureMinus LV terminal of the measuring lead "-"
 * @param ties terminals joined by a jumper, HV with HV or LV with LV
 */
public record Leads(
    Terminal excitePlus,
    Terminal exciteMinus,
    Terminal measurePlus,
    Terminal measureMinus,
    List<Tie> ties) {

  private static final Pattern TEXT =
      Pattern.compile("([^-/, ]+)-([^-/, ]+) / ([^-/, ]+)-([^-/, ]+)((?:, [^-/, ]+ tied)*)");

  /** Two terminals of one side, joined. */
  public record Tie(Terminal one, Terminal other) {

    public Tie {
      if (one == other || one.hv() != other.hv()) {
        throw new IllegalArgumentException(
            "a tie joins two terminals of one side, not %s and %s"
                .formatted(one.iec(), other.iec()));
      }
    }
  }

  public Leads {
    ties = List.copyOf(ties);
    if (!excitePlus.hv() || !exciteMinus.hv() || measurePlus.hv() || measureMinus.hv()) {
      throw new IllegalArgumentException(
          "leads excite an HV pair and measure an LV pair, not %s-%s and %s-%s"
              .formatted(
                  excitePlus.iec(), exciteMinus.iec(), measurePlus.iec(), measureMinus.iec()));
    }
    if (excitePlus == exciteMinus || measurePlus == measureMinus) {
      throw new IllegalArgumentException(
          "both leads of a pair are on one terminal: %s-%s / %s-%s"
              .formatted(
                  excitePlus.iec(), exciteMinus.iec(), measurePlus.iec(), measureMinus.iec()));
    }
  }

  /** Returns leads without ties. */
  public static Leads of(
      Terminal excitePlus, Terminal exciteMinus, Terminal measurePlus, Terminal measureMinus) {
    return new Leads(excitePlus, exciteMinus, measurePlus, measureMinus, List.of());
  }

  /**
   * Reads what {@link #iec()} writes, for example {@code 1U-(1V+1W) / 2u-2v}.
   *
   * @throws IllegalArgumentException with a sentence, if it is something else
   */
  public static Leads parse(String text) {
    Matcher m = TEXT.matcher(text);
    if (!m.matches()) {
      throw notUnderstood(text);
    }
    List<Tie> ties = new ArrayList<>();
    List<Terminal> ends = new ArrayList<>();
    for (int end = 1; end <= 4; end++) {
      ends.add(joined(text, m.group(end), ties));
    }
    for (String jumper : m.group(5).split(", ", -1)) {
      if (!jumper.isEmpty()) {
        joined(text, "(" + jumper.replace(" tied", "") + ")", ties);
      }
    }
    return new Leads(ends.get(0), ends.get(1), ends.get(2), ends.get(3), ties);
  }

  private static Terminal joined(String text, String end, List<Tie> ties) {
    boolean bracketed = end.startsWith("(") && end.endsWith(")");
    String[] names = (bracketed ? end.substring(1, end.length() - 1) : end).split("\\+", -1);
    List<Terminal> terminals = new ArrayList<>();
    for (String name : names) {
      terminals.add(Terminal.ofIec(name).orElseThrow(() -> notUnderstood(text)));
    }
    if (bracketed == (terminals.size() == 1)) {
      throw notUnderstood(text);
    }
    for (Terminal other : terminals.subList(1, terminals.size())) {
      ties.add(new Tie(terminals.get(0), other));
    }
    return terminals.get(0);
  }

  private static IllegalArgumentException notUnderstood(String text) {
    return new IllegalArgumentException(
        ("leads \"%s\" are not understood: write them like 1U-1V / 2u-2n, tied terminals like"
                + " 1U-(1V+1W) / 2u-2v")
            .formatted(text));
  }

  /** Returns the leads in IEC letters, for example {@code 1U-1V / 2u-2n}. */
  public String iec() {
    return text(Terminal::iec);
  }

  /** Returns the leads in IEEE letters, for example {@code H1-H2 / X1-X0}. */
  public String ieee() {
    return text(Terminal::ieee);
  }

  private String text(Function<Terminal, String> letters) {
    String others =
        ties.stream()
            .filter(
                t ->
                    List.of(excitePlus, exciteMinus, measurePlus, measureMinus).stream()
                        .noneMatch(end -> end == t.one()))
            .map(t -> ", %s+%s tied".formatted(letters.apply(t.one()), letters.apply(t.other())))
            .collect(Collectors.joining());
    return "%s-%s / %s-%s%s"
        .formatted(
            end(excitePlus, letters),
            end(exciteMinus, letters),
            end(measurePlus, letters),
            end(measureMinus, letters),
            others);
  }

  private String end(Terminal end, Function<Terminal, String> letters) {
    List<String> joined = new ArrayList<>(List.of(letters.apply(end)));
    ties.stream()
        .filter(t -> t.one() == end)
        .map(t -> letters.apply(t.other()))
        .forEach(joined::add);
    return joined.size() == 1 ? joined.get(0) : "(" + String.join("+", joined) + ")";
  }

  /** Tells whether a terminal is in use, tied or not. */
  boolean uses(Terminal terminal) {
    return List.of(excitePlus, exciteMinus, measurePlus, measureMinus).contains(terminal)
        || ties.stream().anyMatch(t -> t.one() == terminal || t.other() == terminal);
  }

  /** Returns the leads with every terminal replaced. */
  Leads mapped(UnaryOperator<Terminal> to) {
    return new Leads(
        to.apply(excitePlus),
        to.apply(exciteMinus),
        to.apply(measurePlus),
        to.apply(measureMinus),
        ties.stream().map(t -> new Tie(to.apply(t.one()), to.apply(t.other()))).toList());
  }

  /** Returns leads that excite as others do, and measure another pair. */
  static Leads withTies(Leads leads, Terminal measurePlus, Terminal measureMinus) {
    return new Leads(leads.excitePlus, leads.exciteMinus, measurePlus, measureMinus, leads.ties);
  }

  /** Returns the leads with one more tie. */
  Leads tied(Terminal one, Terminal other) {
    List<Tie> more = new ArrayList<>(ties);
    more.add(new Tie(one, other));
    return new Leads(excitePlus, exciteMinus, measurePlus, measureMinus, more);
  }
}
