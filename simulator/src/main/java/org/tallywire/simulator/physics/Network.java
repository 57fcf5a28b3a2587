package org.tallywire.simulator.physics;

import java.util.ArrayList;
import java.util.LinkedHashMap;
import java.util.List;
import java.util.Map;
import java.util.Optional;
import org.apache.commons.math3.complex.Complex;
import org.tallywire.simulator.physics.Loops.LeftOver;

/**
 * Coils on a common core and resistors, joined at named nodes. It is described first, then a source
 * acts on it. Nothing is earthed, and parts without connection are no matter.
 */
public final class Network {

  /**
   * What a short circuit does with its own inductance alone is over in milliseconds. With direct
   * current it is drawn out to this time constant, so that the steps need not be shorter; fluxes
   * take tenths of seconds and more, and so nothing else changes (practice).
   */
  private static final double SHORT_SECONDS = 0.02;

  private final Core core;
  private final Map<String, Integer> nodes = new LinkedHashMap<>();
  private final List<Branch> branches = new ArrayList<>();

  /** A network without branches on that core. */
  public Network(Core core) {
    this.core = core;
  }

  /**
   * Adds a coil between two nodes; both the same for a coil that is closed on itself.
   *
   * @throws IllegalArgumentException if the core has no such limb or layer, or a figure is negative
   */
  public void coil(String from, String to, Coil coil) {
    if (coil.limb() < 0 || coil.limb() >= core.limbs()) {
      throw new IllegalArgumentException("coil on limb " + coil.limb() + " of " + core.limbs());
    }
    if (coil.layer() < 0 || coil.layer() >= core.layers()) {
      throw new IllegalArgumentException("coil in layer " + coil.layer() + " of " + core.layers());
    }
    if (coil.turns() < 1 || !(coil.ohms() >= 0) || !(coil.henries() >= 0)) {
      throw new IllegalArgumentException("not a coil: " + coil);
    }
    branches.add(new Branch(node(from), node(to), coil.ohms(), Optional.of(coil)));
  }

  /**
   * Adds a resistor between two nodes; one of 0 Ω is a wire.
   *
   * @throws IllegalArgumentException if the resistance is negative
   */
  public void resistor(String from, String to, double ohms) {
    if (!(ohms >= 0)) {
      throw new IllegalArgumentException("resistance of " + ohms + " Ω");
    }
    branches.add(new Branch(node(from), node(to), ohms, Optional.empty()));
  }

  private int node(String name) {
    return nodes.computeIfAbsent(name, added -> nodes.size());
  }

  /** What an alternating source finds: sinusoidal quantities, effective values. */
  public interface Alternating {
    /**
     * Returns the current out of the source's first node; 0 if no loop leads through the source.
     */
    Complex amps();

    /** Returns the voltage between two nodes; nothing if no path joins them. */
    Optional<Complex> volts(String from, String to);
  }

  /**
   * Excites the network between two nodes from a source of that voltage and inner resistance. The
   * voltage is the reference of all phases. The residual magnetism of the core has its influence
   * and stays as it is.
   *
   * @throws ArithmeticException if the currents are not determined, as in a short circuit without
   *     resistance
   */
  public Alternating alternating(
      String from, String to, double volts, double sourceOhms, double hertz) {
    Loops loops = loops(from, to, sourceOhms, LeftOver.RESISTANCE);
    return new Excitation(core, Map.copyOf(nodes), loops, volts, hertz);
  }

  /**
   * Puts a source of direct current between two nodes; no current flows yet. The voltage stays zero
   * until it is told otherwise. Time constants of less than a hundredth of a second make it slow:
   * read a voltage with {@link DirectCurrent#volts}, not with a resistor for a voltmeter.
   */
  public DirectCurrent directCurrent(String from, String to) {
    branches.replaceAll(Network::unhurried);
    Loops loops = loops(from, to, 0, LeftOver.COILS);
    return new Transient(core, Map.copyOf(nodes), loops);
  }

  private static Branch unhurried(Branch branch) {
    if (branch.from() != branch.to() || branch.coil().isEmpty()) {
      return branch;
    }
    Coil coil = branch.coil().get();
    double henries = Math.max(coil.henries(), coil.ohms() * SHORT_SECONDS);
    Coil slower = new Coil(coil.limb(), coil.turns(), coil.ohms(), henries, coil.layer());
    return new Branch(branch.from(), branch.to(), branch.ohms(), Optional.of(slower));
  }

  /** The source's current flows through it from its second node to its first. */
  private Loops loops(String from, String to, double sourceOhms, LeftOver last) {
    List<Branch> withSource = new ArrayList<>(branches);
    withSource.add(new Branch(node(to), node(from), sourceOhms, Optional.empty()));
    return new Loops(nodes.size(), withSource, last);
  }
}
