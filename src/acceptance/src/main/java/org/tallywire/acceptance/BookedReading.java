package org.tallywire.acceptance;

import java.time.Instant;
import java.util.Comparator;
import org.tallywire.api.Reading;
import org.tallywire.api.RecordedReading;

/**
 * A reading with the step it was booked to.
 *
 * @param bookingId of the booking that ties them
 */
public record BookedReading(RecordedReading recorded, String bookingId, Step step) {

  static final Comparator<BookedReading> BY_ARRIVAL =
      Comparator.comparing(BookedReading::receivedAt).thenComparing(BookedReading::id);

  String id() {
    return recorded.id();
  }

  Reading reading() {
    return recorded.reading();
  }

  Instant receivedAt() {
    return reading().receivedAt();
  }
}
