package org.tallywire.bridge;

import java.util.Map;

/**
 * What of a station outlives a link.
 *
 * @param unrecorded what is not on disk yet
 * @param notes what its driver's sessions want to remember
 * @param instrument which one it had last
 */
record Lasting(Unrecorded unrecorded, Map<String, String> notes, KnownInstrument instrument) {}
