package org.tallywire.bridge;

import java.util.ArrayList;
import java.util.List;
import org.jspecify.annotations.Nullable;
import org.tallywire.api.Gap;
import org.tallywire.api.Reading;
import org.tallywire.journal.JournalException;

/**
 * What a station's sessions understood and what is not on disk yet. It outlives a link and a failed
 * write: an instrument that cannot send a reading again must not lose it here. Used by the
 * station's thread.
 */
final class Unrecorded {

  private final String station;
  private final String driver;
  private final Recorder recorder;
  private final StationState state;
  private final List<Reading> readings = new ArrayList<>();
  private final List<Gap> gaps = new ArrayList<>();
  private Recorder.@Nullable Batch batch;

  Unrecorded(BridgeConfig.Station station, Recorder recorder, StationState state) {
    this.station = station.name();
    this.driver = station.driver().description().nameAndVersion();
    this.recorder = recorder;
    this.state = state;
  }

  void add(Reading reading) {
    readings.add(reading);
  }

  void add(Gap gap) {
    gaps.add(gap);
  }

  /** Puts all of it on disk; tells whether there was anything. After a failure all is kept. */
  boolean record() throws JournalException {
    boolean any = false;
    while (batch != null || !readings.isEmpty() || !gaps.isEmpty()) {
      Recorder.Batch next = batch;
      if (next == null) {
        next = recorder.stamp(station, driver, readings, gaps);
        readings.clear();
        gaps.clear();
        batch = next;
      }
      state.counted(recorder.append(next));
      batch = null;
      any = true;
    }
    return any;
  }
}
