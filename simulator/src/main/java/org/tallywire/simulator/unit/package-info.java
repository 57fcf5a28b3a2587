/** The transformer under test: its plate, how it is built, and what is wrong with it. */
@org.jspecify.annotations.NullMarked
package org.tallywire.simulator.unit;
