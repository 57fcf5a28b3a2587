package org.tallywire.bridge;

import org.tallywire.acceptance.Verdict;
import org.tallywire.api.Booking;
import org.tallywire.format.RecordFormat;
import org.tallywire.journal.Draft;
import org.tallywire.testset.ChecklistAnswer;
import org.tallywire.testset.InstrumentEvent;
import org.tallywire.testset.Note;
import org.tallywire.testset.TestSetEvent;

/** Records of a test set and of what people write, as entries to be. */
final class Drafts {

  private Drafts() {}

  static Draft of(TestSetEvent event) {
    return new Draft(event.id(), RecordFormat.TEST_SET, event.station(), RecordFormat.write(event));
  }

  /**
   * Returns a booking as an entry to be.
   *
   * @param station that of its reading
   */
  static Draft of(Booking booking, String station) {
    return new Draft(
        booking.id(), RecordFormat.BOOKING, station, RecordFormat.write(booking, station));
  }

  static Draft of(Verdict verdict) {
    return new Draft(
        verdict.id(), RecordFormat.VERDICT, verdict.station(), RecordFormat.write(verdict));
  }

  static Draft of(Note note) {
    return new Draft(note.id(), RecordFormat.NOTE, note.station(), RecordFormat.write(note));
  }

  static Draft of(ChecklistAnswer answer) {
    return new Draft(
        answer.id(), RecordFormat.CHECKLIST, answer.station(), RecordFormat.write(answer));
  }

  static Draft of(InstrumentEvent event) {
    return new Draft(
        event.id(), RecordFormat.VERIFICATION, event.station(), RecordFormat.write(event));
  }
}
