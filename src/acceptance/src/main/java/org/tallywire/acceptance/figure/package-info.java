/** Exact arithmetic with decimals: roots, percentages, rounding. */
@NullMarked
package org.tallywire.acceptance.figure;

import org.jspecify.annotations.NullMarked;
