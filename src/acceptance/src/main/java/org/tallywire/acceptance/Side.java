package org.tallywire.acceptance;

/** A side of a transformer: the higher or the lower of its rated voltages. */
public enum Side {
  HV,
  LV
}
