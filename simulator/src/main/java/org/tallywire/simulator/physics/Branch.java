package org.tallywire.simulator.physics;

import java.util.Optional;

/**
 * What lies between two nodes of a network: a coil, a resistor or the source.
 *
 * @param from index of the node where its current enters
 * @param to index of the node where its current leaves
 * @param ohms resistance
 * @param coil nothing for a resistor and for the source
 */
record Branch(int from, int to, double ohms, Optional<Coil> coil) {

  /** Returns whether it joins its nodes without any voltage between them. */
  boolean wire() {
    return coil.isEmpty() && ohms == 0;
  }
}
