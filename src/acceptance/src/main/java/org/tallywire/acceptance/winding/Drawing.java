package org.tallywire.acceptance.winding;

import java.math.BigDecimal;
import java.math.RoundingMode;
import java.util.ArrayList;
import java.util.LinkedHashMap;
import java.util.List;
import java.util.Map;
import java.util.Optional;
import java.util.stream.Stream;
import org.apache.commons.math3.fraction.BigFraction;
import org.tallywire.acceptance.winding.WindingGroup.Connection;

/**
 * What a picture of a measurement shows: both sides' nodes at their phasors, the windings between
 * them, and the leads. Phasors turn anticlockwise, HV terminal U is at 12 o'clock, the centre of
 * the line terminals of each side is 0, 0 and each line terminal is 1 from it.
 *
 * @param group the group
 * @param nodes HV before LV
 * @param windings HV before LV, with turns a phase of 1; {@code from} and {@code to} name nodes
 * @param leads where the leads go
 */
public record Drawing(WindingGroup group, List<Node> nodes, List<Winding> windings, Leads leads) {

  private static final int PLACES = 6;

  /** Half the square root of 3, from its square. */
  private static final BigDecimal HALF_ROOT_THREE = Fractions.root(new BigFraction(3, 4));

  /**
   * One node.
   *
   * @param name its IEC letters, or the name of a point inside, for example {@code 1U'}
   * @param terminal which terminal it is, unless it is a point inside
   * @param accessible whether it is a terminal that is brought out
   * @param hv whether it is on the HV side
   * @param x to the right, to six decimals
   * @param y upward, to six decimals
   */
  public record Node(
      String name,
      Optional<Terminal> terminal,
      boolean accessible,
      boolean hv,
      BigDecimal x,
      BigDecimal y) {}

  public Drawing {
    nodes = List.copyOf(nodes);
    windings = List.copyOf(windings);
  }

  /**
   * Returns the drawing of the best leads of a phase.
   *
   * @throws IllegalArgumentException if the group has no such phase
   */
  public static Drawing of(WindingGroup group, String phase) {
    Topology topology = Topology.of(group);
    Map<String, Phasor> phasors =
        group.hv() == Connection.SINGLE ? single(group) : topology.balanced().orElseThrow();
    BigDecimal lvScale =
        BigDecimal.ONE.setScale(50).divide(size(phasors, group), RoundingMode.HALF_EVEN);
    List<Node> nodes = new ArrayList<>();
    phasors.forEach(
        (name, phasor) ->
            nodes.add(node(group, name, phasor, name.startsWith("1") ? BigDecimal.ONE : lvScale)));
    return new Drawing(
        group,
        nodes,
        Stream.concat(topology.hv().stream(), topology.lv().stream()).toList(),
        LeadPlan.of(group).leads(phase));
  }

  private static BigDecimal size(Map<String, Phasor> phasors, WindingGroup group) {
    Terminal first = group.hv() == Connection.SINGLE ? Terminal.LV_1 : Terminal.LV_U;
    return Fractions.root(phasors.getOrDefault(first.iec(), Phasor.ONE).square());
  }

  private static Map<String, Phasor> single(WindingGroup group) {
    Map<String, Phasor> phasors = new LinkedHashMap<>();
    Phasor down = Phasor.ZERO.minus(Phasor.ONE);
    phasors.put(Terminal.HV_1.iec(), Phasor.ONE);
    phasors.put(Terminal.HV_2.iec(), down);
    phasors.put(Terminal.LV_1.iec(), group.hour() == 0 ? Phasor.ONE : down);
    phasors.put(Terminal.LV_2.iec(), group.hour() == 0 ? down : Phasor.ONE);
    return phasors;
  }

  private static Node node(WindingGroup group, String name, Phasor phasor, BigDecimal scale) {
    Optional<Terminal> terminal = Terminal.ofIec(name);
    boolean hv = name.startsWith("1");
    boolean accessible =
        terminal.isPresent()
            && (!terminal.get().neutral() || (hv ? group.hvNeutral() : group.lvNeutral()));
    BigDecimal a = Fractions.decimal(phasor.a());
    BigDecimal b = Fractions.decimal(phasor.b());
    BigDecimal x = b.negate().multiply(HALF_ROOT_THREE);
    BigDecimal y = a.subtract(b.divide(BigDecimal.valueOf(2)));
    return new Node(name, terminal, accessible, hv, rounded(x, scale), rounded(y, scale));
  }

  private static BigDecimal rounded(BigDecimal coordinate, BigDecimal scale) {
    return coordinate.multiply(scale).setScale(PLACES, RoundingMode.HALF_EVEN);
  }
}
