/** What a scenario says, and the files that say it. */
@org.jspecify.annotations.NullMarked
package org.tallywire.simulator.scenario;
