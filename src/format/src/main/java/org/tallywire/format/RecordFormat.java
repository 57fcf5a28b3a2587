package org.tallywire.format;

import com.fasterxml.jackson.databind.JsonNode;
import com.fasterxml.jackson.databind.node.ObjectNode;
import java.time.Instant;
import java.util.HexFormat;
import java.util.List;
import java.util.Optional;
import org.tallywire.acceptance.Verdict;
import org.tallywire.api.Booking;
import org.tallywire.api.Gap;
import org.tallywire.api.RecordedReading;
import org.tallywire.api.SequenceNumber;
import org.tallywire.testset.ChecklistAnswer;
import org.tallywire.testset.InstrumentEvent;
import org.tallywire.testset.Note;
import org.tallywire.testset.TestSetEvent;

/**
 * Records to and from the JSON of {@code shared/schema}: UTF-8, one object a record, members always
 * in the same order. Members that are not known are ignored. Safe for use by many threads.
 */
public final class RecordFormat {

  public static final String READING = "reading";
  public static final String BOOKING = "booking";
  public static final String VERDICT = "verdict";
  public static final String GAP = "gap";
  public static final String STATE = "state";
  public static final String TEST_SET = "test-set";
  public static final String NOTE = "note";
  public static final String CHECKLIST = "checklist";
  public static final String VERIFICATION = "verification";
  public static final String TALLY = "tally";

  private RecordFormat() {}

  /** Writes a reading. */
  public static byte[] write(RecordedReading reading) {
    return Json.bytes(ReadingJson.write(reading));
  }

  /** Writes a booking, published under the station of its reading. */
  public static byte[] write(Booking booking, String station) {
    ObjectNode node =
        Json.record(BOOKING, booking.id(), station)
            .put("reading", booking.readingId())
            .put("testSet", booking.testSet());
    if (!booking.step().equals(Booking.NO_STEP)) {
      node.put("step", booking.step());
    }
    node.put("by", booking.by()).put("bookedAt", Json.time(booking.bookedAt()));
    booking.reason().ifPresent(reason -> node.put("reason", reason));
    return Json.bytes(node);
  }

  /** Writes a verdict. */
  public static byte[] write(Verdict verdict) {
    return Json.bytes(VerdictJson.write(verdict));
  }

  /** Writes a gap under the id that its reason asks for. */
  public static byte[] write(Gap gap, String id, String station) {
    ObjectNode node = Json.record(GAP, id, station);
    node.set("instrument", ReadingJson.instrument(gap.instrument()));
    return Json.bytes(
        node.put("epoch", gap.from().epoch())
            .put("from", gap.from().number())
            .put("to", gap.to())
            .put("reason", gap.reason().word())
            .put("detail", gap.detail())
            .put("noticedAt", Json.time(gap.noticedAt()))
            .put("raw", gap.raw()));
  }

  /** Writes an event of a test set. */
  public static byte[] write(TestSetEvent event) {
    return Json.bytes(TestSetJson.write(event));
  }

  /** Writes a note. */
  public static byte[] write(Note note) {
    return Json.bytes(DayJson.write(note));
  }

  /** Writes answers to a checklist. */
  public static byte[] write(ChecklistAnswer answer) {
    return Json.bytes(DayJson.write(answer));
  }

  /** Writes what happened to an instrument. */
  public static byte[] write(InstrumentEvent event) {
    return Json.bytes(DayJson.write(event));
  }

  /** Writes a state; it is sent and never journalled. */
  public static byte[] write(StateRecord state) {
    return Json.bytes(StateJson.write(state));
  }

  /**
   * Writes a tally, which tells consumers what they should have received; it is sent and never
   * journalled.
   *
   * @param journal the journal's identity, in which the positions count
   * @param from the first position it tells of
   * @param ids of the entries from the first to the last, in order
   * @param shelved positions among them of entries that the broker did not take
   * @param digest of the journal's chain at the last position
   */
  public static byte[] tally(
      String journal, long from, List<String> ids, List<Long> shelved, byte[] digest, Instant at) {
    long to = from + ids.size() - 1;
    ObjectNode node =
        Json.record(TALLY, "tally:%s:%d-%d".formatted(journal, from, to), StateRecord.BRIDGE)
            .put("journal", journal)
            .put("from", from)
            .put("to", to);
    ids.forEach(node.putArray("ids")::add);
    shelved.forEach(node.putArray("shelved")::add);
    return Json.bytes(
        node.put("digest", HexFormat.of().formatHex(digest)).put("at", Json.time(at)));
  }

  /** Reads a reading. */
  public static RecordedReading reading(byte[] json) throws FormatException {
    return whole(() -> ReadingJson.read(Json.read(json)));
  }

  /** Reads a booking. */
  public static Booking booking(byte[] json) throws FormatException {
    return whole(() -> booking(Json.read(json)));
  }

  static Booking booking(JsonNode node) throws FormatException {
    return new Booking(
        Json.text(node, "id"),
        Json.text(node, "reading"),
        Json.text(node, "testSet"),
        Json.optionalText(node, "step").orElse(Booking.NO_STEP),
        Json.text(node, "by"),
        Json.instant(node, "bookedAt"),
        Json.optionalText(node, "reason"));
  }

  /** Reads a gap. */
  public static Gap gap(byte[] json) throws FormatException {
    return whole(
        () -> {
          JsonNode node = Json.read(json);
          return new Gap(
              ReadingJson.readInstrument(Json.member(node, "instrument")),
              new SequenceNumber(Json.text(node, "epoch"), Json.member(node, "from").longValue()),
              Json.member(node, "to").longValue(),
              Json.word(node, "reason", Gap.Reason::of),
              Json.text(node, "detail"),
              Json.optionalText(node, "raw").orElse(""),
              Json.instant(node, "noticedAt"));
        });
  }

  /** Reads a verdict. */
  public static Verdict verdict(byte[] json) throws FormatException {
    return whole(() -> VerdictJson.read(Json.read(json)));
  }

  /** Reads a note. */
  public static Note note(byte[] json) throws FormatException {
    return whole(() -> DayJson.note(Json.read(json)));
  }

  /** Reads answers to a checklist. */
  public static ChecklistAnswer checklistAnswer(byte[] json) throws FormatException {
    return whole(() -> DayJson.checklist(Json.read(json)));
  }

  /** Reads what happened to an instrument. */
  public static InstrumentEvent instrumentEvent(byte[] json) throws FormatException {
    return whole(() -> DayJson.instrumentEvent(Json.read(json)));
  }

  /** Reads an event of a test set. */
  public static TestSetEvent testSetEvent(byte[] json) throws FormatException {
    return whole(() -> TestSetJson.read(Json.read(json)));
  }

  /** Turns what a value's own constructor refuses into a fault of the record. */
  static <T> T whole(Reader<T> reader) throws FormatException {
    try {
      return reader.read();
    } catch (IllegalArgumentException e) {
      throw new FormatException(
          Optional.ofNullable(e.getMessage()).orElse("a value is out of its range"), e);
    }
  }

  interface Reader<T> {
    T read() throws FormatException;
  }
}
