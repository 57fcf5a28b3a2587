package org.tallywire.simulator.physics;

import java.util.List;
import org.tallywire.simulator.physics.Steel.Magnetisation;

/** Where a network with direct current stands at a moment; it does not change. */
final class Operating {

  private final double[] amps;
  private final List<Magnetisation> limbs;
  private final double yokeAmps;

  /**
   * Such a place; the array is taken over.
   *
   * @param amps current of each loop
   * @param limbs how each limb is magnetised
   * @param yokeAmps force between the yokes; 0 for a single limb
   */
  Operating(double[] amps, List<Magnetisation> limbs, double yokeAmps) {
    this.amps = amps;
    this.limbs = limbs;
    this.yokeAmps = yokeAmps;
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

  double yokeAmps() {
    return yokeAmps;
  }
}
