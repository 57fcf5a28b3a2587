package org.tallywire.bridge;

import java.time.Duration;
import java.util.ArrayList;
import java.util.LinkedHashMap;
import java.util.List;
import java.util.Map;
import org.jspecify.annotations.Nullable;
import org.slf4j.Logger;
import org.slf4j.LoggerFactory;
import org.tallywire.api.Gap;
import org.tallywire.api.Instrument;
import org.tallywire.api.Reading;
import org.tallywire.api.TimeSource;
import org.tallywire.journal.JournalException;

/**
 * What a station's sessions understood and what is not on disk yet. It outlives a link and a failed
 * write: an instrument that cannot send a reading again must not lose it here. Of such readings at
 * most {@value #MOST_HELD} are held; those after them are counted and become a gap. Used by the
 * station's thread.
 */
final class Unrecorded {

  /** Readings a station holds while they cannot be written; about 6 MB of the longest. */
  static final int MOST_HELD = 2_000;

  private static final Logger log = LoggerFactory.getLogger(Unrecorded.class);
  private static final Duration BETWEEN_ATTEMPTS = Duration.ofSeconds(1);

  /** Readings of one instrument that came when no more could be held. */
  private record Dropped(Instrument instrument, long count) {}

  private final String station;
  private final String driver;
  private final Recorder recorder;
  private final StationState state;
  private final TimeSource time;
  private final List<Reading> readings = new ArrayList<>();
  private final List<Gap> gaps = new ArrayList<>();
  private final Map<Instrument, Dropped> dropped = new LinkedHashMap<>();
  private Recorder.@Nullable Batch batch;

  /** Readings that have no number of their instrument: they are nowhere but here. */
  private int onlyHere;

  private @Nullable JournalException failure;
  private long failedAt;

  Unrecorded(BridgeConfig.Station station, Recorder recorder, StationState state, TimeSource time) {
    this.station = station.name();
    this.driver = station.driver().description().nameAndVersion();
    this.recorder = recorder;
    this.state = state;
    this.time = time;
  }

  void add(Reading reading) {
    boolean last = reading.sequence().isEmpty();
    if (last && mustDrop(reading)) {
      if (dropped.isEmpty()) {
        log.error("{}: no more readings can be held; further ones become a gap", station);
      }
      long frame = reading.part() == 0 ? 1 : 0;
      dropped.merge(
          reading.instrument(),
          new Dropped(reading.instrument(), frame),
          (a, b) -> new Dropped(a.instrument(), a.count() + b.count()));
      return;
    }
    if (!last) {
      requireRoom();
    }
    readings.add(reading);
    onlyHere += last ? 1 : 0;
  }

  void add(Gap gap) {
    requireRoom();
    gaps.add(gap);
  }

  /** Tells whether there are readings that cannot be written now and are nowhere else. */
  boolean isHolding() {
    return failure != null && onlyHere > 0;
  }

  /**
   * Puts all of it on disk; tells whether it did and there was anything. If that fails, readings
   * that their instrument cannot send again are held, so that its line can go on being read, and
   * this is told in the station's state; it is tried again at most once a second.
   *
   * @throws JournalException if it failed and all of it can be sent again; all is kept
   */
  boolean record() throws JournalException {
    if (isHolding() && time.nanos() - failedAt < BETWEEN_ATTEMPTS.toNanos()) {
      return false;
    }
    return recordNow();
  }

  /** Tries for the last time, and says what is lost with the end of the bridge. */
  void end() {
    try {
      recordNow();
    } catch (JournalException e) {
      log.debug("{}: what its instrument keeps is not recorded: {}", station, e.getMessage());
    }
    if (isHolding()) {
      log.error("{}: {} readings that were held in memory alone are lost", station, onlyHere);
    }
  }

  private boolean recordNow() throws JournalException {
    boolean any = false;
    try {
      while (next()) {
        any = true;
      }
    } catch (JournalException e) {
      fail(e);
      return false;
    }
    if (failure != null) {
      failure = null;
      state.held("");
    }
    onlyHere = 0;
    return any;
  }

  /** Writes what comes next; tells whether there was something. */
  private boolean next() throws JournalException {
    Recorder.Batch next = batch;
    if (next == null && !(readings.isEmpty() && gaps.isEmpty())) {
      next = recorder.stamp(station, driver, readings, gaps);
      readings.clear();
      gaps.clear();
    } else if (next == null && !dropped.isEmpty()) {
      Dropped first = dropped.values().iterator().next();
      next =
          recorder.stampDropped(
              station, first.instrument(), first.count(), overflow(first.count()));
      dropped.remove(first.instrument());
    }
    if (next == null) {
      return false;
    }
    batch = next;
    state.counted(recorder.append(next));
    batch = null;
    return true;
  }

  private static String overflow(long count) {
    return ("%d readings came while the journal could not be written and %d were held already; this"
            + " instrument cannot send them again")
        .formatted(count, MOST_HELD);
  }

  private void fail(JournalException e) throws JournalException {
    boolean first = failure == null;
    failure = e;
    failedAt = time.nanos();
    if (onlyHere == 0) {
      throw e;
    }
    if (first) {
      log.warn(
          "{}: this instrument cannot send a reading again, so they are held in memory, at most"
              + " {}, until they can be written: {}",
          station,
          MOST_HELD,
          e.getMessage());
    }
    tellHeld();
  }

  private void tellHeld() {
    long lost = dropped.values().stream().mapToLong(Dropped::count).sum();
    state.held(
        "This instrument cannot send a reading again: %s held in memory alone and lost if the bridge ends%s."
            .formatted(
                held() == 1 ? "1 is" : held() + " are",
                lost == 0
                    ? "; at %d further ones become a gap".formatted(MOST_HELD)
                    : "; no more fit, and %d after them are lost and become a gap"
                        .formatted(lost)));
  }

  private int held() {
    Recorder.Batch waiting = batch;
    return readings.size() + gaps.size() + (waiting == null ? 0 : waiting.drafts().size());
  }

  /** Once one was dropped all are, since numbers are given in order; a frame is not divided. */
  private boolean mustDrop(Reading reading) {
    return !dropped.isEmpty() || (held() >= MOST_HELD && reading.part() == 0);
  }

  /** Refuses what its instrument keeps: nothing of it is acknowledged then. */
  private void requireRoom() {
    JournalException cause = failure;
    if (cause != null && held() >= MOST_HELD) {
      throw new Conversation.StorageFailure(cause);
    }
  }
}
