package org.tallywire.simulator.unit;

import java.util.List;
import java.util.Optional;
import org.apache.commons.math3.complex.Complex;
import org.tallywire.simulator.physics.Coil;
import org.tallywire.simulator.physics.Core;
import org.tallywire.simulator.physics.LinearPath;
import org.tallywire.simulator.physics.Network;
import org.tallywire.simulator.scenario.Group;
import org.tallywire.simulator.scenario.Winding;

/**
 * A unit of any group as good as without losses, leakage and magnetising current, for rated line
 * voltages of one to one.
 */
final class IdealUnit {

  private static final double RELUCTANCE = 1e-3;
  private static final double OHMS = 1e-6;
  private static final double VOLTS = 100;
  private static final double SOURCE_OHMS = 1e-9;
  private static final double HERTZ = 50;

  private IdealUnit() {}

  static Network network(Group group) {
    Windings windings = Windings.of(group);
    LinearPath limb = new LinearPath(RELUCTANCE);
    Network network =
        new Network(
            windings.hv().size() == 1
                ? Core.oneLimb(limb, 0, 0)
                : Core.threeLimbs(limb, limb, limb, 0, 0, 0));
    for (Winding winding : Winding.values()) {
      for (PhaseWinding one : windings.of(winding)) {
        lay(network, windings, winding, one);
      }
    }
    return network;
  }

  private static void lay(Network network, Windings windings, Winding winding, PhaseWinding one) {
    // One line voltage on either side: 100 000 turns in delta, 1/√3 in star, 1/3 in half a zigzag.
    int turns =
        switch (windings.group().connection(winding)) {
          case D, I -> 100_000;
          case Y -> 57_735;
          case Z -> 33_333;
        };
    String from = windings.terminal(winding, one.from());
    for (int i = 0; i < one.parts().size(); i++) {
      PhaseWinding.Part part = one.parts().get(i);
      boolean last = i == one.parts().size() - 1;
      String to = last ? windings.terminal(winding, one.to()) : from + " middle";
      Coil coil = new Coil(part.limb(), turns, OHMS, 0, Design.layer(winding));
      if (part.sense() > 0) {
        network.coil(from, to, coil);
      } else {
        network.coil(to, from, coil);
      }
      from = to;
    }
  }

  /** Returns HV voltage by LV voltage while the HV terminals are excited; the others are open. */
  static Complex ratio(
      Network network, String from, List<String> to, String measuredFrom, String measuredTo) {
    if (to.size() > 1) {
      network.resistor(to.get(0), to.get(1), 0);
    }
    Network.Alternating found = network.alternating(from, to.get(0), VOLTS, SOURCE_OHMS, HERTZ);
    Optional<Complex> hv = found.volts(from, to.get(0));
    return hv.orElseThrow().divide(found.volts(measuredFrom, measuredTo).orElseThrow());
  }
}
