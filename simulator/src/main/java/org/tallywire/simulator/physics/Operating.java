package org.tallywire.simulator.physics;

import java.util.List;
import org.tallywire.simulator.physics.Steel.Magnetisation;

/** Where a network with direct current stands at a moment; it does not change. */
final class Operating {

  private final double[] amps;
  private final List<Magnetisation> limbs;

  /**
   * Such a place; the array is taken over.
   *
   * @param amps current of each loop
   * @param limbs how each limb is magnetised
   */
  Operating(double[] amps, List<Magnetisation> limbs) {
    this.amps = amps;
    this.limbs = limbs;
  }

  double amps(int loop) {
    return amps[loop];
  }

  double[] allAmps() {
    return amps.clone();
  }

  Magnetisation limb(int limb) {
    return limbs.get(limb);
  }

  List<Magnetisation> limbs() {
    return limbs;
  }
}
