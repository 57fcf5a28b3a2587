package org.tallywire.simulator.physics;

/**
 * A winding, or a part of one, on a limb. Turns count positive in the sense from its first to its
 * second node.
 *
 * @param limb 0 to 2
 * @param turns in use, at least 1
 * @param ohms resistance
 * @param henries its own inductance beside what the core and the layer's leakage give it
 * @param layer whose leakage flux it shares with the other coils of that limb and layer, see {@link
 *     Core}
 */
public record Coil(int limb, int turns, double ohms, double henries, int layer) {}
