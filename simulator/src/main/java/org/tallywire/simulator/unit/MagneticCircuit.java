package org.tallywire.simulator.unit;

import java.util.List;
import org.apache.commons.math3.complex.Complex;

/**
 * Three limbs that share their yokes, and the air around them as a fourth way for the flux.
 *
 * <p>All four stand between the same two points (upper and lower yoke). With the magnetomotive
 * forces F of the limbs, the reluctances R and the drop θ between the yokes: {@code φ_k = (F_k −
 * θ)/R_k} and {@code Σφ_k = θ·Λ_air}. Reluctances in A/Wb; the imaginary part is core loss: it puts
 * a part of the magnetising current in phase with the voltage.
 *
 * @param limbs the reluctance of each limb with its share of the yokes
 * @param airPermeance of the way back outside the core, Wb/A; zero for an ideal core
 */
public record MagneticCircuit(List<Complex> limbs, double airPermeance) {

  public MagneticCircuit {
    limbs = List.copyOf(limbs);
  }

  /** Returns the flux in limb {@code k} for each ampere-turn on limb {@code j}, Wb/A. */
  public Complex permeance(int k, int j) {
    Complex sum = new Complex(airPermeance);
    for (Complex limb : limbs) {
      sum = sum.add(limb.reciprocal());
    }
    Complex own = limbs.get(k).reciprocal();
    Complex mutual = own.multiply(limbs.get(j).reciprocal()).divide(sum);
    return (k == j ? own : Complex.ZERO).subtract(mutual);
  }
}
