/** What an instrument shows at its connector: the languages, without wire, thread or clock. */
@org.jspecify.annotations.NullMarked
package org.tallywire.simulator.face;
