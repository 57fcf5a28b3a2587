package org.tallywire.simulator.unit;

import java.util.ArrayList;
import java.util.List;
import org.apache.commons.math3.complex.Complex;
import org.tallywire.simulator.scenario.Group;
import org.tallywire.simulator.scenario.Group.Connection;
import org.tallywire.simulator.scenario.Phase;
import org.tallywire.simulator.scenario.Winding;
import org.tallywire.simulator.unit.PhaseWinding.Part;

/**
 * How the windings of a group join terminals and limbs.
 *
 * <p>Star: limb k from terminal k to the neutral. Delta: limb k from terminal k to the next one or
 * the one before. Zigzag: half of the turns on limb k, the other half reversed on the next limb or
 * the one before. The HV winding may be a delta or zigzag of either direction; the LV winding too,
 * with all of its turns reversed, or with its terminals moved on by one or two limbs. Of these the
 * first is taken that has the group's clock number: terminals moved as little as can be, then not
 * reversed, then HV forward, then LV forward. (The choice is derived; makers are free in it.)
 *
 * <p>The clock number is the lag of LV behind HV in twelfths of a turn, from line to the real or
 * virtual neutral, in a symmetrical system (IEC 60076-1, from memory).
 *
 * @param group that they form
 * @param hv phase windings from terminal 1U, 1V, 1W; single-phase from 1.1 alone
 * @param lv likewise
 */
record Windings(Group group, List<PhaseWinding> hv, List<PhaseWinding> lv) {

  /** Number of the neutral terminal; the second terminal of a single-phase winding. */
  static final int NEUTRAL = 3;

  private static final List<Phase> PHASES = List.of(Phase.A, Phase.B, Phase.C);
  private static final int FORWARD = 1;
  private static final int BACKWARD = 2;
  private static final int HOURS = 12;

  Windings {
    hv = List.copyOf(hv);
    lv = List.copyOf(lv);
  }

  /** Returns the windings of a group. */
  static Windings of(Group group) {
    for (int moved = 0; moved < PHASES.size(); moved++) {
      for (int sense : new int[] {1, -1}) {
        for (int hvWay : new int[] {FORWARD, BACKWARD}) {
          for (int lvWay : new int[] {FORWARD, BACKWARD}) {
            List<PhaseWinding> high = joined(group.hv(), 0, 1, hvWay);
            List<PhaseWinding> low = joined(group.lv(), moved, sense, lvWay);
            if (clock(high, low) == group.clock()) {
              return new Windings(group, high, low);
            }
          }
        }
      }
    }
    throw new IllegalArgumentException("no windings give " + group);
  }

  private static List<PhaseWinding> joined(Connection connection, int moved, int sense, int way) {
    int count = connection == Connection.I ? 1 : PHASES.size();
    List<PhaseWinding> windings = new ArrayList<>();
    for (int terminal = 0; terminal < count; terminal++) {
      int limb = connection == Connection.I ? 0 : (terminal + moved) % PHASES.size();
      List<Part> parts = new ArrayList<>(List.of(new Part(limb, sense)));
      if (connection == Connection.Z) {
        parts.add(new Part((limb + way) % PHASES.size(), -sense));
      }
      boolean delta = connection == Connection.D;
      Phase phase = PHASES.get(delta ? limb : terminal);
      int end = delta ? (terminal + way) % PHASES.size() : NEUTRAL;
      windings.add(new PhaseWinding(phase, terminal, end, parts));
    }
    return windings;
  }

  /** The voltage of each limb follows from the HV side, and that of LV from the limbs. */
  private static int clock(List<PhaseWinding> high, List<PhaseWinding> low) {
    Complex limbA = line(high.get(0)).divide(turns(high.get(0)));
    Complex lv = limbA.multiply(turns(low.get(0))).divide(line(low.get(0)));
    return Math.floorMod(Math.round(-lv.getArgument() / (2 * Math.PI / HOURS)), HOURS);
  }

  /** Returns the voltage between its ends if terminal U has 1∠0° against the neutral. */
  private static Complex line(PhaseWinding winding) {
    return phasor(winding.from()).subtract(phasor(winding.to()));
  }

  /** Returns the voltage between its ends if limb A gives 1∠0° and B and C follow in turn. */
  private static Complex turns(PhaseWinding winding) {
    Complex sum = Complex.ZERO;
    for (Part part : winding.parts()) {
      sum = sum.add(phasor(part.limb()).multiply(part.sense()));
    }
    return sum;
  }

  private static Complex phasor(int number) {
    double half = StrictMath.sqrt(3) / 2;
    return switch (number) {
      case 0 -> Complex.ONE;
      case 1 -> new Complex(-0.5, -half);
      case 2 -> new Complex(-0.5, half);
      default -> Complex.ZERO;
    };
  }

  /** Returns one side's. */
  List<PhaseWinding> of(Winding winding) {
    return winding == Winding.HV ? hv : lv;
  }

  /** Returns whether the neutral of one side is a terminal (single-phase: the second one). */
  boolean neutralOut(Winding winding) {
    return group.singlePhase() || group.neutral(winding);
  }

  /** Returns the marking of a terminal (IEC/TR 60616, from memory): 1U to 1N, 2.1 and so on. */
  String terminal(Winding winding, int number) {
    String side = winding == Winding.HV ? "1" : "2";
    if (group.singlePhase()) {
      return side + (number == NEUTRAL ? ".2" : ".1");
    }
    return side + "UVWN".charAt(number);
  }
}
