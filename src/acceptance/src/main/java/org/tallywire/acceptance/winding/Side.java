package org.tallywire.acceptance.winding;

import java.math.BigDecimal;
import java.util.ArrayList;
import java.util.LinkedHashMap;
import java.util.List;
import java.util.Map;
import java.util.Optional;
import org.apache.commons.math3.fraction.BigFraction;
import org.apache.commons.math3.linear.FieldVector;
import org.tallywire.acceptance.winding.WindingGroup.Connection;

/**
 * The windings of one side. The potential of every node is a sum of limb voltages; each winding
 * that closes a loop says that the sum around the loop is zero.
 *
 * @param windings joined to one network
 * @param potentials of every node against the first, as factors of the three limb voltages per turn
 * @param loops sums of limb voltages that are zero
 */
record Side(
    List<Winding> windings,
    Map<String, FieldVector<BigFraction>> potentials,
    List<FieldVector<BigFraction>> loops) {

  private static final BigDecimal HALF = new BigDecimal("0.5");

  /** Returns the side that some windings make. */
  static Side of(List<Winding> windings) {
    if (windings.isEmpty()) {
      throw new IllegalArgumentException("a side has no windings");
    }
    Map<String, FieldVector<BigFraction>> potentials = new LinkedHashMap<>();
    List<FieldVector<BigFraction>> loops = new ArrayList<>();
    potentials.put(windings.get(0).from(), Span.zero());
    List<Winding> left = new ArrayList<>(windings);
    while (!left.isEmpty()) {
      Winding next =
          left.stream()
              .filter(w -> potentials.containsKey(w.from()) || potentials.containsKey(w.to()))
              .findFirst()
              .orElseThrow(
                  () -> new IllegalArgumentException("windings are not joined: " + windings));
      left.remove(next);
      join(next, potentials, loops);
    }
    return new Side(List.copyOf(windings), potentials, loops);
  }

  private static void join(
      Winding winding,
      Map<String, FieldVector<BigFraction>> potentials,
      List<FieldVector<BigFraction>> loops) {
    FieldVector<BigFraction> voltage = Span.zero();
    voltage.setEntry(winding.limb() - 1, Fractions.of(winding.turns()));
    FieldVector<BigFraction> from = potentials.get(winding.from());
    FieldVector<BigFraction> to = potentials.get(winding.to());
    if (from != null && to != null) {
      loops.add(from.subtract(to).subtract(voltage));
    } else if (from != null) {
      potentials.put(winding.to(), from.subtract(voltage));
    } else if (to != null) {
      potentials.put(winding.from(), to.add(voltage));
    }
  }

  /** Returns the voltage between two nodes; empty if there is no such node. */
  Optional<FieldVector<BigFraction>> voltage(String plus, String minus) {
    FieldVector<BigFraction> one = potentials.get(plus);
    FieldVector<BigFraction> other = potentials.get(minus);
    return one == null || other == null ? Optional.empty() : Optional.of(one.subtract(other));
  }

  /**
   * How the windings of a connection can be put on limbs.
   *
   * @param forward a delta from U to V or a zigzag from limb 1 to 2, or else backward: U to W
   * @param shift how many limbs on the winding of terminal U sits
   * @param reversed whether every winding is the other way round
   */
  record Build(boolean forward, int shift, boolean reversed) {

    /** Returns the windings of a three-phase connection, one turn a phase, built so. */
    List<Winding> windings(Connection connection, boolean hv) {
      List<Winding> windings = new ArrayList<>();
      for (int phase = 0; phase < 3; phase++) {
        int limb = 1 + (phase + shift) % 3;
        int next = (phase + (forward ? 1 : 2)) % 3;
        String terminal = Terminal.lines(hv).get(phase).iec();
        String neutral = Terminal.neutral(hv).iec();
        switch (connection) {
          case STAR -> windings.add(new Winding(limb, BigDecimal.ONE, terminal, neutral));
          case DELTA ->
              windings.add(
                  new Winding(limb, BigDecimal.ONE, terminal, Terminal.lines(hv).get(next).iec()));
          case ZIGZAG -> {
            windings.add(new Winding(limb, HALF, terminal, terminal + "'"));
            windings.add(new Winding(1 + (next + shift) % 3, HALF, neutral, terminal + "'"));
          }
          case SINGLE ->
              throw new IllegalArgumentException("a single-phase side has no three phases");
        }
      }
      return reversed ? windings.stream().map(Winding::reversed).toList() : windings;
    }
  }
}
