/**
 * A pretend transformer tester that speaks the instrument side of the line protocol; it shares no
 * code with the bridge, so that one misreading of the protocol cannot hide on both sides.
 */
@NullMarked
package org.tallywire.simulator;

import org.jspecify.annotations.NullMarked;
