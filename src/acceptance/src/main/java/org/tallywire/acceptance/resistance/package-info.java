/**
 * Winding resistance: temperature, phases from lines, unbalance, and when a reading has settled.
 */
@NullMarked
package org.tallywire.acceptance.resistance;

import org.jspecify.annotations.NullMarked;
