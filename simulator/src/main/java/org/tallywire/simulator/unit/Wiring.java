package org.tallywire.simulator.unit;

import java.util.ArrayList;
import java.util.List;
import java.util.Random;
import java.util.stream.Stream;
import org.tallywire.simulator.physics.Coil;
import org.tallywire.simulator.physics.Core;
import org.tallywire.simulator.physics.Material;
import org.tallywire.simulator.physics.Network;
import org.tallywire.simulator.physics.Steel;
import org.tallywire.simulator.scenario.Phase;
import org.tallywire.simulator.scenario.Plate.Taps;
import org.tallywire.simulator.scenario.Scenario;
import org.tallywire.simulator.scenario.UnitFault;
import org.tallywire.simulator.scenario.UnitFault.BadJoint;
import org.tallywire.simulator.scenario.UnitFault.HotWinding;
import org.tallywire.simulator.scenario.UnitFault.OpenWinding;
import org.tallywire.simulator.scenario.UnitFault.ReversedWinding;
import org.tallywire.simulator.scenario.UnitFault.ShortedTurns;
import org.tallywire.simulator.scenario.UnitFault.WornContact;
import org.tallywire.simulator.scenario.UnitFault.WrongConductor;
import org.tallywire.simulator.scenario.UnitFault.WrongTap;
import org.tallywire.simulator.scenario.Winding;
import org.tallywire.simulator.unit.PhaseWinding.Part;

/**
 * Lays the windings of a unit between its terminals, with everything that is wrong with them.
 *
 * <p>A phase is a chain from its first terminal to its second: first what poor contacts add, then
 * its coils. Terminals keep their names; nodes inside a phase are named after it.
 */
final class Wiring {

  /** What is left of a phase whose turns are all shorted, ohms. */
  private static final double SHORT_OHMS = 1e-6;

  private final Design design;
  private final Windings windings;
  private final int shownTap;
  private final double celsius;
  private final List<UnitFault> faults;
  private final List<Worn> worn;
  private final Network network;

  /** A worn contact, and how many times its mean it adds now. */
  private record Worn(WornContact contact, double times) {}

  /** Something in the chain of a phase; it is laid between two nodes. */
  private interface Link {
    void between(String from, String to);
  }

  private Wiring(
      Design design,
      Core core,
      int shownTap,
      double celsius,
      List<UnitFault> faults,
      Random contact) {
    this.design = design;
    this.windings = design.windings();
    this.shownTap = shownTap;
    this.faults = faults;
    this.celsius = celsius + of(HotWinding.class).mapToDouble(HotWinding::kelvin).sum();
    this.worn =
        of(WornContact.class)
            .map(one -> new Worn(one, 1 + Scenario.spread(contact, one.unsteady())))
            .toList();
    this.network = new Network(core);
  }

  /**
   * Returns the network between the terminals.
   *
   * @param shownTap what the tap changer shows
   * @param celsius what the thermometer says
   * @param contact random numbers for unsteady contacts, one for each that is worn
   */
  static Network network(
      Design design,
      Core core,
      int shownTap,
      double celsius,
      List<UnitFault> faults,
      Random contact) {
    Wiring wiring = new Wiring(design, core, shownTap, celsius, faults, contact);
    for (Winding winding : Winding.values()) {
      wiring.windings.of(winding).forEach(one -> wiring.lay(winding, one));
    }
    return wiring.network;
  }

  private <T extends UnitFault> Stream<T> of(Class<T> kind) {
    return faults.stream().filter(kind::isInstance).map(kind::cast);
  }

  private void lay(Winding winding, PhaseWinding one) {
    boolean reversed = faults.contains(new ReversedWinding(winding, one.phase()));
    boolean open = faults.contains(new OpenWinding(winding, one.phase()));
    String start = windings.terminal(winding, reversed ? one.to() : one.from());
    String end = windings.terminal(winding, reversed ? one.from() : one.to());
    List<Link> links = links(winding, one);
    String from = start;
    for (int i = 1; i <= links.size(); i++) {
      // The last link of a broken phase ends in the air.
      String to = i < links.size() || open ? winding + " " + one.phase() + " " + i : end;
      links.get(i - 1).between(from, to);
      from = to;
    }
  }

  private List<Link> links(Winding winding, PhaseWinding one) {
    Phase phase = one.phase();
    int position = position(winding, phase);
    int turns = design.turns().of(winding, position);
    double ohms = ohms(winding, phase, turns);
    List<Link> links = new ArrayList<>();
    double added = addedOhms(winding, phase, position, ohms);
    if (added > 0) {
      links.add((from, to) -> network.resistor(from, to, added));
    }
    int shorted = shortedTurns(winding, phase);
    for (Part part : one.parts()) {
      int partTurns = turns / one.parts().size();
      int closed = Math.min(shorted, partTurns);
      shorted -= closed;
      links.add(part(winding, part, partTurns - closed, ohms / turns));
      if (closed > 0) {
        close(winding, phase, part.limb(), closed, ohms / turns);
      }
    }
    return links;
  }

  private Link part(Winding winding, Part part, int turns, double ohmsPerTurn) {
    if (turns == 0) {
      return (from, to) -> network.resistor(from, to, SHORT_OHMS);
    }
    Coil coil = new Coil(part.limb(), turns, turns * ohmsPerTurn, 0, Design.layer(winding));
    return part.sense() > 0
        ? (from, to) -> network.coil(from, to, coil)
        : (from, to) -> network.coil(to, from, coil);
  }

  /** Closes turns on themselves: the short carries what flows through the rest besides. */
  private void close(Winding winding, Phase phase, int limb, int turns, double ohmsPerTurn) {
    String ring = "shorted turns " + winding + " " + phase + " " + limb;
    double henries = bundleHenries(winding, turns);
    Coil coil = new Coil(limb, turns, turns * ohmsPerTurn, henries, Design.layer(winding));
    network.coil(ring, ring, coil);
  }

  /**
   * The inductance in air of a bundle of turns, an estimate of the leakage between a short and the
   * turns beside it: {@code N²·μ0·r·(ln(8r/ρ) − 2)}, textbook formula of the circular ring, from
   * memory. The bundle's radius ρ is that of its conductors with as much space again between them,
   * at most half of the ring's.
   */
  private double bundleHenries(Winding winding, int turns) {
    double radius = design.meanTurnMetres(winding) / (2 * Math.PI);
    double squareMetres = design.squareMillimetres(winding) * 1e-6;
    double bundle = Math.min(StrictMath.sqrt(2 * turns * squareMetres / Math.PI), radius / 2);
    return turns
        * turns
        * Steel.VACUUM_PERMEABILITY
        * radius
        * (StrictMath.log(8 * radius / bundle) - 2);
  }

  /** Returns how many turns of a phase are shorted; several faults add up to one bundle. */
  private int shortedTurns(Winding winding, Phase phase) {
    return of(ShortedTurns.class)
        .filter(f -> f.winding() == winding && f.phase() == phase)
        .mapToInt(ShortedTurns::turns)
        .sum();
  }

  private boolean tapped(Winding winding) {
    return design.plate().taps().winding() == winding;
  }

  /** Returns where the contacts of a phase really stand. */
  private int position(Winding winding, Phase phase) {
    Taps taps = design.plate().taps();
    if (!tapped(winding)) {
      return taps.principal();
    }
    int steps =
        of(WrongTap.class)
            .filter(f -> f.phase().isEmpty() || f.phase().get() == phase)
            .mapToInt(WrongTap::steps)
            .sum();
    return Math.max(1, Math.min(taps.positions(), shownTap + steps));
  }

  /** Returns the resistance of so many turns of a phase as they are now. */
  private double ohms(Winding winding, Phase phase, int turns) {
    Material metal =
        of(WrongConductor.class)
            .filter(f -> f.winding() == winding)
            .map(WrongConductor::material)
            .findFirst()
            .orElse(design.plate().conductor(winding));
    return design.ohmsAt75(winding, phase)
        * turns
        / design.turns().rated(winding)
        * metal.factorFrom20(celsius)
        / metal.factorFrom20(Design.REFERENCE_CELSIUS);
  }

  private double addedOhms(Winding winding, Phase phase, int position, double phaseOhms) {
    double joints =
        of(BadJoint.class)
            .filter(f -> f.winding() == winding && f.phase() == phase)
            .mapToDouble(f -> f.adds().ohms(phaseOhms))
            .sum();
    double contacts =
        worn.stream()
            .filter(w -> tapped(winding) && w.contact.phase() == phase)
            .filter(w -> w.contact.position() == 0 || w.contact.position() == position)
            .mapToDouble(w -> w.times * w.contact.adds().ohms(phaseOhms))
            .sum();
    return joints + contacts;
  }
}
