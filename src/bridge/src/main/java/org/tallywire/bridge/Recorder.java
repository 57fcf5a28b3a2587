package org.tallywire.bridge;

import java.util.ArrayList;
import java.util.HashMap;
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
import org.tallywire.journal.Draft;
import org.tallywire.journal.Journal;
import org.tallywire.journal.JournalEntry;
import org.tallywire.journal.JournalException;
import org.tallywire.journal.Outcome;
import org.tallywire.journal.OwnEpoch;
import org.tallywire.journal.SequenceMark;

/**
 * Stamps readings with their identity and appends them to the journal; when {@link #append}
 * returns, they are on disk. Safe for use by many threads, one a station.
 */
final class Recorder {

  private static final Logger log = LoggerFactory.getLogger(Recorder.class);

  private final Journal journal;
  private final TimeSource time;

  /** The last number given to a source that does not number its readings. */
  private final Map<String, OwnEpoch> ownEpochs = new ConcurrentHashMap<>();

  /** By station. */
  private final Map<String, Throttle> conflictLines = new ConcurrentHashMap<>();

  Recorder(Journal journal, TimeSource time) {
    this.journal = journal;
    this.time = time;
  }

  /** Returns the last sequence number of an instrument's epoch that is on disk. */
  OptionalLong lastRecorded(Instrument instrument, String station, String epoch)
      throws JournalException {
    return journal.lastSequence(RecordId.source(instrument, station), epoch);
  }

  /** Returns the first part of the reading that is on disk under an instrument's number. */
  Optional<Reading> recorded(Instrument instrument, String station, SequenceNumber number)
      throws JournalException {
    String source = RecordId.source(instrument, station);
    return first(RecordId.reading(source, number.epoch(), number.number(), 0), Map.of());
  }

  /** Readings and gaps as entries to be; stamped once, they keep their identities until written. */
  record Batch(List<Draft> drafts, List<SequenceMark> marks) {}

  /** How many readings and gaps were new. */
  record Counted(int readings, int gaps) {}

  /** Stamps what one station's session understood; nothing is written yet. */
  Batch stamp(String station, String driver, List<Reading> readings, List<Gap> gaps)
      throws JournalException {
    List<Draft> drafts = new ArrayList<>();
    List<SequenceMark> marks = new ArrayList<>();
    Map<String, OwnEpoch> numbered = new HashMap<>();
    Map<String, Reading> stamped = new HashMap<>();
    for (Reading reading : readings) {
      String source = RecordId.source(reading.instrument(), station);
      SequenceNumber number = number(source, reading, numbered);
      String id = RecordId.reading(source, number.epoch(), number.number(), reading.part());
      Optional<Reading> first = first(id, stamped);
      if (first.isEmpty()) {
        stamped.put(id, reading);
        RecordedReading recorded = new RecordedReading(id, station, driver, reading);
        drafts.add(new Draft(id, RecordFormat.READING, station, RecordFormat.write(recorded)));
      } else if (!first.get().saysTheSame(reading)) {
        drafts.add(conflict(id, station, number, reading));
      }
      marks.add(new SequenceMark(source, number.epoch(), number.number()));
    }
    for (Gap gap : gaps) {
      String source = RecordId.source(gap.instrument(), station);
      String id = gapId(source, gap);
      drafts.add(new Draft(id, RecordFormat.GAP, station, RecordFormat.write(gap, id, station)));
      marks.add(new SequenceMark(source, gap.from().epoch(), gap.to()));
    }
    ownEpochs.putAll(numbered);
    return new Batch(drafts, marks);
  }

  /**
   * Stamps the gap that readings left which could not be kept; they have the next numbers of an
   * instrument that has none of its own.
   */
  Batch stampDropped(String station, Instrument instrument, long count, String detail)
      throws JournalException {
    String source = RecordId.source(instrument, station);
    OwnEpoch own = ownEpochs.get(source);
    if (own == null) {
      own = journal.ownEpoch(source);
    }
    SequenceNumber from = new SequenceNumber(own.epoch(), own.last() + 1);
    long to = own.last() + count;
    Gap gap = new Gap(instrument, from, to, Gap.Reason.OVERFLOW, detail, "", time.now());
    String id = gapId(source, gap);
    ownEpochs.put(source, new OwnEpoch(own.epoch(), to));
    return new Batch(
        List.of(new Draft(id, RecordFormat.GAP, station, RecordFormat.write(gap, id, station))),
        List.of(new SequenceMark(source, own.epoch(), to)));
  }

  /** Two lines that were refused under one number are two records. */
  private static String gapId(String source, Gap gap) {
    SequenceNumber from = gap.from();
    return gap.raw().isEmpty()
        ? RecordId.gap(source, from.epoch(), from.number(), gap.to())
        : RecordId.derived(
            "gap", RecordId.reading(source, from.epoch(), from.number(), 0), gap.raw());
  }

  /** Writes a batch, all or nothing; a batch that may have been written may be written again. */
  Counted append(Batch batch) throws JournalException {
    List<Outcome> outcomes = journal.append(batch.drafts(), batch.marks()).outcomes();
    int readings = 0;
    int gaps = 0;
    for (int i = 0; i < outcomes.size(); i++) {
      if (!outcomes.get(i).repeat()) {
        boolean reading = batch.drafts().get(i).kind().equals(RecordFormat.READING);
        readings += reading ? 1 : 0;
        gaps += reading ? 0 : 1;
      }
    }
    return new Counted(readings, gaps);
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

  /** Returns the reading that already has an identity, in this batch or in the journal. */
  private Optional<Reading> first(String id, Map<String, Reading> stamped) throws JournalException {
    Reading here = stamped.get(id);
    if (here != null) {
      return Optional.of(here);
    }
    Optional<JournalEntry> entry = journal.find(id);
    if (entry.isEmpty()) {
      return Optional.empty();
    }
    try {
      return Optional.of(RecordFormat.reading(entry.get().payload()).reading());
    } catch (FormatException e) {
      throw new IllegalStateException(
          "the journal's own entry %d cannot be read".formatted(entry.get().position()), e);
    }
  }

  /** Declares a repeat that does not say what the first one said; the first stays. */
  private Draft conflict(String id, String station, SequenceNumber number, Reading reading) {
    String detail =
        "reading %s came again with other content; the first is kept, this one is evidence"
            .formatted(id);
    conflictLines
        .computeIfAbsent(station, name -> new Throttle())
        .next()
        .ifPresent(
            besides ->
                log.error("{}: {}: {}{}", station, detail, Visible.text(reading.raw()), besides));
    Gap gap =
        new Gap(
            reading.instrument(),
            number,
            number.number(),
            Gap.Reason.CONFLICT,
            detail,
            reading.raw(),
            time.now());
    String gapId = RecordId.derived("gap", id, reading.raw());
    return new Draft(gapId, RecordFormat.GAP, station, RecordFormat.write(gap, gapId, station));
  }
}
