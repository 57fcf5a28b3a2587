package org.tallywire.simulator.scenario;

/** A winding of a two-winding unit. */
public enum Winding {
  HV,
  LV
}
