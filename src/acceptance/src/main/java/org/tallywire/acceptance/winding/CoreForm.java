package org.tallywire.acceptance.winding;

/** How the limbs of the core bind their fluxes to each other. */
public enum CoreForm {
  /**
   * Three limbs and no path beside them: the three limb voltages per turn add up to zero, unless
   * the windings force another sum, as unequal windings of a delta do.
   */
  THREE_LIMB,
  /** Bank of single-phase units, shell, four or five limbs: each limb has its own return path. */
  FREE_LIMBS
}
