/** Steel, cores, circuits and conductors: what textbooks say, without any particular unit. */
@org.jspecify.annotations.NullMarked
package org.tallywire.simulator.physics;
