/** The test set on the bench: what it measures of a unit, and how well. */
@org.jspecify.annotations.NullMarked
package org.tallywire.simulator.tester;
