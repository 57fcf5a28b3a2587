package org.tallywire.acceptance.uncertainty;

/** What a decision makes of a figure and its limit. */
public enum Outcome {
  /** The limit is kept by at least the guard band. */
  PASS,
  /** The limit is kept, but by less than the guard band. */
  CONDITIONAL_PASS,
  /** The limit is broken, but by no more than the guard band. */
  CONDITIONAL_FAIL,
  /** The limit is broken by more than the guard band. */
  FAIL;

  /** Tells whether another measurement, with less uncertainty, could decide otherwise. */
  public boolean conditional() {
    return this == CONDITIONAL_PASS || this == CONDITIONAL_FAIL;
  }
}
