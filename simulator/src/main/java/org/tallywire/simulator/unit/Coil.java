package org.tallywire.simulator.unit;

import org.apache.commons.math3.complex.Complex;

/**
 * A winding, or a closed part of one, on a limb.
 *
 * @param limb 0 to 2
 * @param turns in use
 * @param ohms its own impedance, apart from the flux of the core
 */
public record Coil(int limb, int turns, Complex ohms) {}
