package org.tallywire.bridge;

import java.util.ArrayList;
import java.util.List;
import java.util.Map;
import java.util.Optional;
import java.util.OptionalLong;
import java.util.concurrent.ConcurrentHashMap;
import org.slf4j.Logger;
import org.slf4j.LoggerFactory;
import org.tallywire.api.Gap;
import org.tallywire.api.Instrument;
import org.tallywire.api.Reading;
import org.tallywire.api.RecordId;
import org.tallywire.api.RecordedReading;
import org.tallywire.api.SequenceNumber;
import org.tallywire.api.TimeSource;
import org.tallywire.format.FormatException;
import org.tallywire.format.RecordFormat;
import org.tallywire.journal.Appended;
import org.tallywire.journal.Draft;
import org.tallywire.journal.Journal;
import org.tallywire.journal.JournalEntry;
import org.tallywire.journal.JournalException;
import org.tallywire.journal.Outcome;
import org.tallywire.journal.OwnEpoch;
import org.tallywire.journal.SequenceMark;

/**
 * Stamps readings with their identity and appends them to the journal; when a call returns, they
 * are on disk. Safe for use by many threads, one a station.
 */
final class Recorder {

  private static final Logger log = LoggerFactory.getLogger(Recorder.class);

  private final Journal journal;
  private final TimeSource time;

  /** The last number given to a source that does not number its readings. */
  private final Map<String, OwnEpoch> ownEpochs = new ConcurrentHashMap<>();

  Recorder(Journal journal, TimeSource time) {
    this.journal = journal;
    this.time = time;
  }

  /** Returns the last sequence number of an instrument's epoch that is on disk. */
  OptionalLong lastRecorded(Instrument instrument, String station, String epoch)
      throws JournalException {
    return journal.lastSequence(RecordId.source(instrument, station), epoch);
  }

  /**
   * Records what one station's session understood, all or nothing.
   *
   * @return how many of the readings are new, and how many gaps were declared
   */
  Counted record(String station, String driver, List<Reading> readings, List<Gap> gaps)
      throws JournalException {
    List<RecordedReading> stamped = new ArrayList<>();
    List<Draft> drafts = new ArrayList<>();
    List<SequenceMark> marks = new ArrayList<>();
    Map<String, OwnEpoch> numbered = new ConcurrentHashMap<>();
    for (Reading reading : readings) {
      String source = RecordId.source(reading.instrument(), station);
      SequenceNumber number = number(source, reading, numbered);
      String id = RecordId.reading(source, number.epoch(), number.number(), reading.part());
      RecordedReading recorded = new RecordedReading(id, station, driver, reading);
      stamped.add(recorded);
      drafts.add(new Draft(id, RecordFormat.READING, station, RecordFormat.write(recorded)));
      marks.add(new SequenceMark(source, number.epoch(), number.number()));
    }
    for (Gap gap : gaps) {
      String source = RecordId.source(gap.instrument(), station);
      String id = RecordId.gap(source, gap.from().epoch(), gap.from().number(), gap.to());
      drafts.add(
          new Draft(id, RecordFormat.GAP, station, RecordFormat.write(gap, id, station, "")));
      marks.add(new SequenceMark(source, gap.from().epoch(), gap.to()));
    }
    Appended appended = journal.append(drafts, marks);
    ownEpochs.putAll(numbered);
    return new Counted(
        countNew(stamped, appended.outcomes()), gaps.size() + conflicts(stamped, appended));
  }

  /** What was written. */
  record Counted(int readings, int gaps) {}

  private static int countNew(List<RecordedReading> stamped, List<Outcome> outcomes) {
    int count = 0;
    for (int i = 0; i < stamped.size(); i++) {
      count += outcomes.get(i).repeat() ? 0 : 1;
    }
    return count;
  }

  /** Returns the instrument's number, or the next of an epoch that we make and keep for it. */
  private SequenceNumber number(String source, Reading reading, Map<String, OwnEpoch> numbered)
      throws JournalException {
    if (reading.sequence().isPresent()) {
      return reading.sequence().get();
    }
    OwnEpoch own = numbered.get(source);
    if (own == null) {
      own = ownEpochs.get(source);
    }
    if (own == null) {
      own = journal.ownEpoch(source);
    }
    boolean sameFrame = reading.part() > 0;
    OwnEpoch next = new OwnEpoch(own.epoch(), sameFrame ? own.last() : own.last() + 1);
    numbered.put(source, next);
    return new SequenceNumber(next.epoch(), next.last());
  }

  /** Declares repeats that do not say what the first one said; the first stays. */
  private int conflicts(List<RecordedReading> stamped, Appended appended) throws JournalException {
    List<Draft> drafts = new ArrayList<>();
    for (int i = 0; i < stamped.size(); i++) {
      if (appended.outcomes().get(i).repeat()) {
        conflict(stamped.get(i)).ifPresent(drafts::add);
      }
    }
    if (!drafts.isEmpty()) {
      journal.append(drafts, List.of());
    }
    return drafts.size();
  }

  private Optional<Draft> conflict(RecordedReading repeat) throws JournalException {
    Optional<JournalEntry> first = journal.find(repeat.id());
    if (first.isEmpty() || saysTheSame(first.get(), repeat)) {
      return Optional.empty();
    }
    Reading reading = repeat.reading();
    SequenceNumber number =
        reading
            .sequence()
            .orElseThrow(() -> new IllegalStateException("our own number came twice"));
    String detail =
        "reading %s came again with other content; the first is kept, this one is evidence"
            .formatted(repeat.id());
    log.error("{}: {}: {}", repeat.station(), detail, Visible.text(reading.raw()));
    Gap gap =
        new Gap(
            reading.instrument(), number, number.number(), Gap.Reason.CONFLICT, detail, time.now());
    String id = RecordId.derived("gap", repeat.id(), reading.raw());
    return Optional.of(
        new Draft(
            id,
            RecordFormat.GAP,
            repeat.station(),
            RecordFormat.write(gap, id, repeat.station(), reading.raw())));
  }

  private static boolean saysTheSame(JournalEntry first, RecordedReading repeat) {
    try {
      return RecordFormat.reading(first.payload()).reading().saysTheSame(repeat.reading());
    } catch (FormatException e) {
      throw new IllegalStateException(
          "the journal's own entry %d cannot be read".formatted(first.position()), e);
    }
  }
}
