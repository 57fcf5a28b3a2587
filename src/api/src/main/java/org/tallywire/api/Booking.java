package org.tallywire.api;

import java.time.Instant;
import java.util.Optional;

/**
 * Ties a reading to a test set and a step; the last booking of a reading wins, so a wrong one is
 * corrected by a newer record, never by an edit.
 *
 * @param id of this record
 * @param readingId of the reading
 * @param testSet id of the test set
 * @param step id of the step in its plan, or {@link #NO_STEP}
 * @param by who or what decided: {@code labels}, {@code plan}, or a person's name
 * @param bookedAt when
 * @param reason why, where a person decided
 */
public record Booking(
    String id,
    String readingId,
    String testSet,
    String step,
    String by,
    Instant bookedAt,
    Optional<String> reason) {

  /** Says that a reading belongs to no step from here on. */
  public static final String NO_STEP = "";

  /** A booking that needs no reason. */
  public Booking(
      String id, String readingId, String testSet, String step, String by, Instant bookedAt) {
    this(id, readingId, testSet, step, by, bookedAt, Optional.empty());
  }
}
