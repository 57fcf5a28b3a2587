package org.tallywire.simulator.physics;

import java.util.Optional;

/** A network while a source of direct current acts on it; seconds from switching on. */
public interface DirectCurrent {

  /** Returns whether current can flow at all: some loop leads through the source. */
  boolean closed();

  /** Returns the time since it was switched on. */
  double seconds();

  /** Returns the current out of the source's first node. */
  double amps();

  /**
   * Returns the voltage between two nodes now, with what changing fluxes induce; nothing if no path
   * joins them.
   */
  Optional<Double> volts(String from, String to);

  /**
   * Holds the source at a voltage up to a time, or until the current passes the given one, which it
   * then has within a billionth. If it has it already, no time passes.
   *
   * @param untilAmps NaN for none
   */
  void holdVolts(double volts, double untilSeconds, double untilAmps);

  /** Holds the current of the source as it is now up to a time. */
  void holdAmps(double untilSeconds);

  /** Leaves the core magnetised as it is when the currents of this moment are taken away. */
  void leave();
}
