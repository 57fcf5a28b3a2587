package org.tallywire.acceptance.winding;

import java.math.MathContext;
import java.util.Optional;
import java.util.function.UnaryOperator;
import org.tallywire.acceptance.figure.Roots;
import org.tallywire.acceptance.winding.Expectation.NoVoltage;
import org.tallywire.acceptance.winding.Expectation.Ratio;
import org.tallywire.acceptance.winding.Hypothesis.Kind;

/**
 * A connection as it may really be, with the leads as they may really be.
 *
 * @param kind what is wrong
 * @param group of the unit
 * @param what says what is wrong, to stand after the group; empty if nothing is
 * @param topology with the ratio of rated voltages in its HV turns
 * @param leadMap where a lead really is that is meant for a terminal
 * @param neutral what happens at a neutral
 */
record Suspect(
    Kind kind,
    WindingGroup group,
    String what,
    Topology topology,
    UnaryOperator<Terminal> leadMap,
    Neutral neutral) {

  /**
   * What happens at a neutral. Without a neutral lead there is no voltage; an instrument that takes
   * two lines instead shows a ratio off by √3 (practice: what it shows with one phase excited would
   * depend on reluctances).
   */
  enum Neutral {
    SOUND,
    HV_OPEN,
    LV_OPEN,
    HV_LINE,
    LV_LINE;

    boolean concerns(Leads leads) {
      return switch (this) {
        case SOUND -> false;
        case HV_OPEN, HV_LINE -> leads.uses(Terminal.HV_N);
        case LV_OPEN, LV_LINE -> leads.uses(Terminal.LV_N);
      };
    }
  }

  /** Returns what an instrument shows with leads meant for these terminals; empty if undecided. */
  Optional<Expectation> shows(Leads meant, CoreForm core) {
    Optional<Expectation> decided = topology.decided(meant.mapped(leadMap), core);
    if (!neutral.concerns(meant)) {
      return decided;
    }
    return decided.map(
        e -> {
          if (neutral == Neutral.HV_OPEN || neutral == Neutral.LV_OPEN) {
            return new NoVoltage();
          }
          return e instanceof Ratio r ? byRootThree(r) : e;
        });
  }

  private Ratio byRootThree(Ratio r) {
    return new Ratio(
        neutral == Neutral.HV_LINE
            ? r.ratio().multiply(Roots.THREE, MathContext.DECIMAL128)
            : r.ratio().divide(Roots.THREE, MathContext.DECIMAL128),
        r.inPhase());
  }

  /** Returns what stands before all others: 0 the plate, 1 one mistake, 2 and 3 other groups. */
  int level(WindingGroup plate) {
    if (kind == Kind.AS_RATED) {
      return 0;
    }
    if (kind != Kind.OTHER_GROUP) {
      return 1;
    }
    return group.hv() == plate.hv() && group.lv() == plate.lv() ? 2 : 3;
  }

  String sentence(WindingGroup plate, String verb) {
    return switch (kind) {
      case AS_RATED -> "%s %s as the plate states it.".formatted(verb, group);
      case OTHER_GROUP -> "%s %s, not %s as the plate states.".formatted(verb, group, plate);
      default -> "%s %s with %s.".formatted(verb, group, what);
    };
  }
}
