package org.tallywire.simulator.unit;

import java.util.List;
import java.util.stream.Stream;
import org.apache.commons.math3.complex.Complex;
import org.apache.commons.math3.complex.ComplexField;
import org.apache.commons.math3.linear.Array2DRowFieldMatrix;
import org.apache.commons.math3.linear.ArrayFieldVector;
import org.apache.commons.math3.linear.FieldLUDecomposition;
import org.apache.commons.math3.linear.FieldMatrix;

/**
 * Three windings in delta on a common core, with any number of closed coils beside them, excited
 * across one of the three.
 *
 * <p>Winding k runs from terminal k to terminal k+1, so the voltages of the three add up to zero
 * and the two that are not excited carry one current. Meshes: the excited winding, the other two
 * together, each closed coil. Kirchhoff's laws with sinusoidal quantities, effective values.
 */
public final class DeltaCircuit {

  private static final int PHASES = 3;
  private static final int EXCITED = 0;
  private static final int OTHERS = 1;
  private static final int FIRST_CLOSED = 2;

  private final MagneticCircuit core;
  private final List<Coil> coils;
  private final double radiansPerSecond;

  /**
   * Describes the circuit.
   *
   * @param delta the three windings, in order of their limbs
   * @param closed coils closed on themselves; may be empty
   */
  public DeltaCircuit(MagneticCircuit core, List<Coil> delta, List<Coil> closed, double hertz) {
    this.core = core;
    this.coils = Stream.concat(delta.stream(), closed.stream()).toList();
    this.radiansPerSecond = 2 * Math.PI * hertz;
  }

  /**
   * What a test finds.
   *
   * @param terminalVolts across the excited winding
   * @param sourceAmps into the terminal
   * @param voltsPerTurn of each limb, induced by all flux inside the HV winding
   */
  public record Solution(Complex terminalVolts, Complex sourceAmps, List<Complex> voltsPerTurn) {}

  /** Excites winding {@code phase} from a source with this voltage and inner resistance. */
  public Solution excite(int phase, double sourceVolts, double sourceOhms) {
    Complex[] currents = currents(phase, sourceVolts, sourceOhms);
    Complex sourceAmps = currents[phase].subtract(currents[(phase + 1) % PHASES]);
    Complex terminalVolts = new Complex(sourceVolts).subtract(sourceAmps.multiply(sourceOhms));
    return new Solution(
        terminalVolts,
        sourceAmps,
        List.of(voltsPerTurn(0, currents), voltsPerTurn(1, currents), voltsPerTurn(2, currents)));
  }

  private Complex[] currents(int phase, double sourceVolts, double sourceOhms) {
    int meshes = FIRST_CLOSED + coils.size() - PHASES;
    FieldMatrix<Complex> impedance =
        new Array2DRowFieldMatrix<>(ComplexField.getInstance(), meshes, meshes);
    for (int a = 0; a < coils.size(); a++) {
      for (int b = 0; b < coils.size(); b++) {
        impedance.addToEntry(mesh(a, phase), mesh(b, phase), impedance(a, b));
      }
    }
    Complex inner = new Complex(sourceOhms);
    impedance.addToEntry(EXCITED, EXCITED, inner);
    impedance.addToEntry(OTHERS, OTHERS, inner);
    impedance.addToEntry(EXCITED, OTHERS, inner.negate());
    impedance.addToEntry(OTHERS, EXCITED, inner.negate());
    ArrayFieldVector<Complex> volts = new ArrayFieldVector<>(ComplexField.getInstance(), meshes);
    volts.setEntry(EXCITED, new Complex(sourceVolts));
    volts.setEntry(OTHERS, new Complex(-sourceVolts));
    Complex[] solved = new FieldLUDecomposition<>(impedance).getSolver().solve(volts).toArray();
    Complex[] currents = new Complex[coils.size()];
    for (int a = 0; a < coils.size(); a++) {
      currents[a] = solved[mesh(a, phase)];
    }
    return currents;
  }

  private static int mesh(int coil, int phase) {
    if (coil >= PHASES) {
      return FIRST_CLOSED + coil - PHASES;
    }
    return coil == phase ? EXCITED : OTHERS;
  }

  private Complex impedance(int a, int b) {
    Coil one = coils.get(a);
    Coil other = coils.get(b);
    Complex mutual =
        core.permeance(one.limb(), other.limb())
            .multiply(new Complex(0, radiansPerSecond * one.turns() * other.turns()));
    return a == b ? mutual.add(one.ohms()) : mutual;
  }

  private Complex voltsPerTurn(int limb, Complex[] currents) {
    Complex flux = Complex.ZERO;
    for (int a = 0; a < currents.length; a++) {
      Coil coil = coils.get(a);
      flux =
          flux.add(currents[a].multiply(coil.turns()).multiply(core.permeance(limb, coil.limb())));
    }
    return flux.multiply(new Complex(0, radiansPerSecond));
  }
}
