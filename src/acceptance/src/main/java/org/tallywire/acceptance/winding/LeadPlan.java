package org.tallywire.acceptance.winding;

import java.math.BigDecimal;
import java.util.ArrayList;
import java.util.Comparator;
import java.util.List;
import java.util.Map;
import java.util.concurrent.ConcurrentHashMap;
import org.tallywire.acceptance.winding.Expectation.Ratio;
import org.tallywire.acceptance.winding.WindingGroup.Connection;

/**
 * Where the leads of a single-phase ratio measurement best go, for every phase of a group, and what
 * they read. Source: derived from the windings by {@link Topology}; the choice among what can be
 * read with every form of core is this project's: first without ties, then with neutrals, then the
 * highest LV voltage. Every group has such leads.
 *
 * <p>A phase has the letter of its terminal at a neutral, or else of its excited HV terminal; one
 * terminal against the two others tied where nothing else can be read.
 *
 * @param group the group
 * @param phaseA leads for phase A; those of B and C follow by U → V → W → U
 * @param readingFactor what they read for a ratio of rated voltages of 1, to 34 digits
 */
public record LeadPlan(WindingGroup group, Leads phaseA, BigDecimal readingFactor) {

  private static final Map<WindingGroup, LeadPlan> KNOWN = new ConcurrentHashMap<>();

  private static final Expectation NOTHING = new Expectation.NoVoltage();

  /** Two terminals of one side. */
  record Pair(Terminal plus, Terminal minus) {

    boolean has(Terminal terminal) {
      return plus == terminal || minus == terminal;
    }

    boolean neutral() {
      return plus.neutral() || minus.neutral();
    }

    /** Tells whether it runs against U-V, V-W, W-U or against line to neutral. */
    boolean againstTheOrder() {
      return neutral() ? plus.neutral() : minus != plus.turned(1);
    }
  }

  /** Leads with what is known of them. */
  private record Candidate(Leads leads, Pair hv, Pair lv, BigDecimal ratio) {

    boolean tied() {
      return !leads.ties().isEmpty();
    }

    /** Tells whether these are leads of phase A. */
    boolean ofPhaseA() {
      if (tied()) {
        return hv.plus() == Terminal.HV_U;
      }
      if (!hv.neutral() && lv.neutral()) {
        return lv.has(Terminal.LV_U);
      }
      return hv.has(Terminal.HV_U) && !hv.has(Terminal.HV_W);
    }

    int against() {
      return (!tied() && hv.againstTheOrder() ? 1 : 0) + (lv.againstTheOrder() ? 1 : 0);
    }
  }

  /** Of the two polarities the one with fewer pairs against the order; of equal, U first. */
  private static final Comparator<Candidate> BEST_FIRST =
      Comparator.comparing(Candidate::tied)
          .thenComparing(c -> !c.hv().neutral())
          .thenComparing(c -> !c.lv().neutral())
          .thenComparing(Candidate::ratio)
          .thenComparing(Candidate::against)
          .thenComparing(c -> c.hv().plus());

  /** Returns the plan for a group. */
  public static LeadPlan of(WindingGroup group) {
    return KNOWN.computeIfAbsent(group, LeadPlan::search);
  }

  private static LeadPlan search(WindingGroup group) {
    Topology topology = Topology.of(group);
    List<Candidate> candidates = new ArrayList<>();
    for (Leads leads : readable(group)) {
      Expectation expected = topology.decided(leads, CoreForm.FREE_LIMBS).orElse(NOTHING);
      if (expected instanceof Ratio reading && reading.inPhase()) {
        candidates.add(
            new Candidate(
                leads,
                new Pair(leads.excitePlus(), leads.exciteMinus()),
                new Pair(leads.measurePlus(), leads.measureMinus()),
                reading.ratio()));
      }
    }
    return candidates.stream()
        .filter(c -> group.hv() == Connection.SINGLE || c.ofPhaseA())
        .min(BEST_FIRST)
        .map(c -> new LeadPlan(group, c.leads(), c.ratio()))
        .orElseThrow(() -> new IllegalStateException("no leads read group " + group));
  }

  /** Returns every pair of HV leads, alone and against two tied, with every pair of LV leads. */
  static List<Leads> readable(WindingGroup group) {
    List<Pair> hvPairs = pairs(terminals(group, true), group.hvNeutral());
    List<Leads> leads = new ArrayList<>();
    for (Pair lv : pairs(terminals(group, false), group.lvNeutral())) {
      for (Pair hv : hvPairs) {
        leads.add(Leads.of(hv.plus(), hv.minus(), lv.plus(), lv.minus()));
      }
      for (Terminal one :
          group.hv() == Connection.SINGLE ? List.<Terminal>of() : Terminal.HV_LINES) {
        leads.add(
            Leads.of(one, one.turned(1), lv.plus(), lv.minus()).tied(one.turned(1), one.turned(2)));
      }
    }
    return leads;
  }

  private static List<Terminal> terminals(WindingGroup group, boolean hv) {
    if (group.hv() == Connection.SINGLE) {
      return hv ? List.of(Terminal.HV_1, Terminal.HV_2) : List.of(Terminal.LV_1, Terminal.LV_2);
    }
    return Terminal.lines(hv);
  }

  /** Returns all pairs of some line terminals, both ways round. */
  static List<Pair> pairs(List<Terminal> lines, boolean neutral) {
    List<Terminal> terminals = new ArrayList<>(lines);
    if (neutral) {
      terminals.add(Terminal.neutral(lines.get(0).hv()));
    }
    return terminals.stream()
        .flatMap(
            plus -> terminals.stream().filter(t -> t != plus).map(minus -> new Pair(plus, minus)))
        .toList();
  }

  /**
   * Returns the leads for phase A, B or C.
   *
   * @throws IllegalArgumentException if the group has no such phase
   */
  public Leads leads(String phase) {
    int turns = turns(phase);
    return phaseA.mapped(t -> t.turned(turns));
  }

  private int turns(String phase) {
    int turns = group.phases().indexOf(phase);
    if (turns < 0) {
      throw new IllegalArgumentException(
          "group %s has phases %s, not \"%s\"".formatted(group, group.phases(), phase));
    }
    return turns;
  }

  /** Returns the terminals for phase A, B or C, for example {@code 1U-1V / 2u-2n}. */
  public String terminals(String phase) {
    return leads(phase).iec();
  }

  /** Tells whether exciting the HV pair puts the voltage on one single winding. */
  public boolean excitesOneWinding() {
    return switch (group.hv()) {
      case STAR -> phaseA.exciteMinus().neutral();
      case DELTA -> phaseA.ties().isEmpty();
      case ZIGZAG -> false;
      case SINGLE -> true;
    };
  }

  /**
   * Tells whether the phase letter names the limb: a neutral or a delta's star partner fixes it,
   * unless the hour needs LV terminals of one letter on a limb of another.
   */
  public boolean namesTheLimb() {
    return excitesOneWinding()
        && (phaseA.exciteMinus().neutral() || group.lv() == Connection.STAR)
        && Topology.of(group).keepsTheLimbs();
  }

  /**
   * Returns where the leads of a resistance measurement go on one side: to the neutral where there
   * is one, else to the pair whose winding the ratio leads of that phase use; where these are tied,
   * those of the group with its neutrals brought out.
   *
   * @throws IllegalArgumentException if a three-phase group has no such phase
   */
  public String resistance(boolean hvSide, String phase) {
    if (group.hv() == Connection.SINGLE) {
      return hvSide ? "1.1-1.2" : "2.1-2.2";
    }
    if (hvSide ? group.hvNeutral() : group.lvNeutral()) {
      return pair(Terminal.lines(hvSide).get(0), Terminal.neutral(hvSide), phase);
    }
    Leads ratio = of(withAllNeutrals()).phaseA;
    if (phaseA.ties().isEmpty()) {
      ratio = phaseA;
    }
    Terminal plus = hvSide ? ratio.excitePlus() : ratio.measurePlus();
    Terminal minus = hvSide ? ratio.exciteMinus() : ratio.measureMinus();
    return plus.neutral() || minus.neutral()
        ? pair(Terminal.lines(hvSide).get(0), Terminal.lines(hvSide).get(1), phase)
        : pair(plus, minus, phase);
  }

  private WindingGroup withAllNeutrals() {
    return new WindingGroup(
        group.hv(),
        group.lv(),
        group.hv() != Connection.DELTA,
        group.lv() != Connection.DELTA,
        group.hour());
  }

  private String pair(Terminal plus, Terminal minus, String phase) {
    int turns = turns(phase);
    return plus.turned(turns).iec() + "-" + minus.turned(turns).iec();
  }
}
