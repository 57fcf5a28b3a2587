package org.tallywire.simulator.unit;

import java.util.ArrayList;
import java.util.Comparator;
import java.util.List;
import java.util.Optional;
import java.util.stream.IntStream;
import org.tallywire.simulator.scenario.Group;
import org.tallywire.simulator.scenario.Group.Connection;
import org.tallywire.simulator.scenario.Phase;
import org.tallywire.simulator.scenario.Winding;

/**
 * How a test set is connected for the ratio of one phase: HV terminals that are excited and LV
 * terminals whose voltage is in phase with it.
 *
 * <p>The connections are derived from the voltages of the limbs. Excited is the first of these that
 * some LV pair agrees with: line to neutral, two lines, one line against the other two tied
 * together. An LV pair agrees if its voltage is a positive multiple of the HV one whatever flux
 * each limb takes. Two things are known of the fluxes: with a delta winding the voltages of the
 * three limbs add up to zero, and between tied terminals there is none. A star that is excited with
 * two terminals tied is taken to share its flux likewise, though that needs a three-limb core.
 *
 * @param phase that is tested
 * @param from HV terminal
 * @param to HV terminal, or two that are tied together
 * @param measuredFrom LV terminal
 * @param measuredTo LV terminal
 * @param readingOverK what the reading is divided by the ratio of the rated line voltages
 */
public record Hookup(
    Phase phase,
    String from,
    List<String> to,
    String measuredFrom,
    String measuredTo,
    double readingOverK) {

  private static final int[] TERMINALS = {0, 1, 2, Windings.NEUTRAL};

  public Hookup {
    to = List.copyOf(to);
  }

  /**
   * Two terminals of one winding between which a resistance is measured.
   *
   * @param phase that it is named after
   */
  public record Pair(Phase phase, String from, String to) {}

  /** Two HV terminals or groups of terminals. */
  private record Excitation(int from, List<Integer> to) {}

  /** A hookup, and what to prefer of several. */
  private record Candidate(Hookup hookup, double multiple, boolean ownLetter) {
    static final Comparator<Candidate> PREFERENCE =
        Comparator.<Candidate>comparingLong(c -> -Math.round(c.multiple * 1e6))
            .thenComparing(c -> !c.ownLetter);
  }

  /** Returns the connections for the phases of a group, in order. */
  public static List<Hookup> ratio(Group group) {
    Windings windings = Windings.of(group);
    return IntStream.range(0, windings.hv().size()).mapToObj(k -> ratio(windings, k)).toList();
  }

  private static Hookup ratio(Windings windings, int phase) {
    for (List<Excitation> kind : excitations(windings, phase)) {
      Optional<Candidate> best =
          kind.stream()
              .flatMap(excitation -> candidates(windings, phase, excitation).stream())
              .min(Candidate.PREFERENCE);
      if (best.isPresent()) {
        return best.get().hookup;
      }
    }
    throw new IllegalStateException("no connection measures the ratio of " + windings.group());
  }

  private static List<List<Excitation>> excitations(Windings windings, int phase) {
    int next = (phase + 1) % 3;
    int last = (phase + 2) % 3;
    List<List<Excitation>> kinds = new ArrayList<>();
    if (windings.neutralOut(Winding.HV)) {
      kinds.add(List.of(new Excitation(phase, List.of(Windings.NEUTRAL))));
    }
    if (windings.group().hv() == Connection.D) {
      PhaseWinding own = windings.hv().get(phase);
      kinds.add(List.of(new Excitation(own.from(), List.of(own.to()))));
    } else {
      kinds.add(
          List.of(new Excitation(phase, List.of(next)), new Excitation(phase, List.of(last))));
    }
    kinds.add(List.of(new Excitation(phase, List.of(next, last))));
    return kinds;
  }

  /** Returns every LV pair that agrees with an excitation; the largest LV voltage comes first. */
  private static List<Candidate> candidates(Windings windings, int phase, Excitation excitation) {
    LimbVoltages voltages = new LimbVoltages(windings);
    double[] excited = voltages.between(Winding.HV, excitation.from, excitation.to.get(0));
    List<double[]> zeros = new ArrayList<>();
    boolean tied = excitation.to.size() > 1;
    if (tied) {
      zeros.add(voltages.between(Winding.HV, excitation.to.get(0), excitation.to.get(1)));
    }
    if (tied || windings.group().hv() == Connection.D || windings.group().lv() == Connection.D) {
      zeros.add(new double[] {1, 1, 1});
    }
    List<Candidate> found = new ArrayList<>();
    for (int from : TERMINALS) {
      for (int to : TERMINALS) {
        if (from != to && accessible(windings, from) && accessible(windings, to)) {
          double[] measured = voltages.between(Winding.LV, from, to);
          double multiple = LimbVoltages.multiple(measured, excited, zeros);
          if (multiple > 0) {
            Hookup hookup = hookup(windings, phase, excitation, from, to, 1 / multiple);
            found.add(new Candidate(hookup, multiple, from == phase || to == phase));
          }
        }
      }
    }
    return found;
  }

  private static boolean accessible(Windings windings, int lvTerminal) {
    return lvTerminal == Windings.NEUTRAL
        ? windings.neutralOut(Winding.LV)
        : lvTerminal < windings.lv().size();
  }

  private static Hookup hookup(
      Windings windings, int phase, Excitation excitation, int from, int to, double readingOverK) {
    return new Hookup(
        windings.hv().get(phase).phase(),
        windings.terminal(Winding.HV, excitation.from),
        excitation.to.stream().map(number -> windings.terminal(Winding.HV, number)).toList(),
        windings.terminal(Winding.LV, from),
        windings.terminal(Winding.LV, to),
        readingOverK);
  }

  /**
   * Returns where the resistances of a winding are measured: line to neutral where the neutral is
   * brought out; else between the lines, in delta across limb A, B and C, in star and zigzag U–V,
   * V–W and W–U.
   */
  public static List<Pair> resistance(Group group, Winding winding) {
    Windings windings = Windings.of(group);
    boolean delta = group.connection(winding) == Connection.D;
    boolean neutral = windings.neutralOut(winding);
    return windings.of(winding).stream()
        .sorted(Comparator.comparing(PhaseWinding::phase))
        .map(
            one ->
                new Pair(
                    one.phase(),
                    windings.terminal(winding, one.from()),
                    windings.terminal(winding, delta || neutral ? one.to() : (one.from() + 1) % 3)))
        .toList();
  }
}
