package org.tallywire.simulator.scenario;

import java.util.List;

/** A phase, and the limb that its HV winding sits on; B is the centre limb. */
public enum Phase {
  A(0),
  B(1),
  C(2);

  private final int limb;

  Phase(int limb) {
    this.limb = limb;
  }

  /** Returns the phase on a limb, 0 to 2. */
  public static Phase ofLimb(int limb) {
    return List.of(values()).get(limb);
  }

  /** Returns the number of the limb, 0 to 2. */
  public int limb() {
    return limb;
  }
}
