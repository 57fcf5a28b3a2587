package org.tallywire.api;

/**
 * A reading as it stands in the journal: stamped with its identity, station and driver.
 *
 * @param id {@code source:epoch:sequence:n}
 * @param station where it was taken
 * @param driver name and version of what understood it, for example {@code line 1.0}
 */
public record RecordedReading(String id, String station, String driver, Reading reading) {}
