package org.tallywire.acceptance.resistance;

/** What a winding is made of. */
public enum Conductor {
  COPPER,
  ALUMINIUM
}
