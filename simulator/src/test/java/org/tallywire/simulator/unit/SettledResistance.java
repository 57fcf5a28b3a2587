package org.tallywire.simulator.unit;

import org.tallywire.simulator.physics.DirectCurrent;
import org.tallywire.simulator.physics.Network;

/** Resistance between two terminals once the core takes no more flux. */
final class SettledResistance {

  private static final double VOLTS = 50;
  private static final double AMPS = 5;
  private static final double SECONDS = 3600;

  private SettledResistance() {}

  static double ohms(Network network, Hookup.Pair pair) {
    DirectCurrent current = network.directCurrent(pair.from(), pair.to());
    current.holdVolts(VOLTS, SECONDS, AMPS);
    current.holdAmps(SECONDS);
    return current.volts(pair.from(), pair.to()).orElseThrow() / current.amps();
  }
}
