/**
 * Electricity meters that are read out by IEC 62056-21, modes A, B and C; begin with {@link
 * MeterSession}. The standard was not at hand: what is said of it comes from public notes on it and
 * from memory, and the tests say which.
 */
@NullMarked
package org.tallywire.meter62056;

import org.jspecify.annotations.NullMarked;
