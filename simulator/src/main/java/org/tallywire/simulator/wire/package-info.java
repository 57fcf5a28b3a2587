/** The cable side: pseudo-terminals, TCP and serial ports, and what can go wrong on a line. */
@org.jspecify.annotations.NullMarked
package org.tallywire.simulator.wire;
