package org.tallywire.simulator.unit;

import java.util.List;
import org.tallywire.simulator.scenario.Phase;

/**
 * The turns that form one phase of a winding: the terminals they join and the limbs they sit on
 * ("phase winding" is the term of IEC 60076-1, from memory).
 *
 * @param phase the one of its line terminal in star and zigzag, the one of its limb in delta
 * @param from line terminal at its start, 0 to 2
 * @param to terminal at its end: 0 to 2, or {@link Windings#NEUTRAL}
 * @param parts in order from start to end, of equally many turns: two in zigzag, else one
 */
record PhaseWinding(Phase phase, int from, int to, List<Part> parts) {

  PhaseWinding {
    parts = List.copyOf(parts);
  }

  /**
   * Turns on one limb.
   *
   * @param limb 0 to 2
   * @param sense 1 if the way from start to end runs as the turns count, −1 if against
   */
  record Part(int limb, int sense) {}
}
