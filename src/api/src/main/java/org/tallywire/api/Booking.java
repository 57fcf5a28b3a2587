package org.tallywire.api;

import java.time.Instant;

/**
 * Ties a reading to a test set and a step; the last booking of a reading wins, so a wrong one is
 * corrected by a newer record, never by an edit.
 *
 * @param id of this record
 * @param readingId of the reading
 * @param testSet id of the test set
 * @param step id of the step in its plan
 * @param by who or what decided, for example {@code labels}
 * @param bookedAt when
 */
public record Booking(
    String id, String readingId, String testSet, String step, String by, Instant bookedAt) {}
