package org.tallywire.testset;

import java.util.ArrayList;
import java.util.List;
import org.tallywire.acceptance.Finding;
import org.tallywire.api.Reading;
import org.tallywire.api.RecordedReading;

/** How instruments stand, as records up to now say. Used by one thread. */
public final class Instruments {

  private final List<InstrumentStanding> standings;

  /** Begins with what is known already. */
  public Instruments(List<InstrumentStanding> standings) {
    this.standings = new ArrayList<>(standings);
  }

  /** Takes how instruments stand, in place of what was known of each. */
  void know(List<InstrumentStanding> told) {
    told.forEach(
        one -> {
          standings.removeIf(before -> before.of(one.instrument()));
          standings.add(one);
        });
  }

  /** Takes what happened to an instrument. */
  public void take(InstrumentEvent event) {
    InstrumentStanding before =
        standings.stream()
            .filter(standing -> standing.of(event.instrument()))
            .findFirst()
            .orElseGet(() -> InstrumentStanding.unknown(event.instrument()));
    standings.remove(before);
    standings.add(before.after(event));
  }

  /** Returns how each instrument stands that anything is known of. */
  public List<InstrumentStanding> standings() {
    return List.copyOf(standings);
  }

  /** Returns what is wrong with the instruments that took some readings, each said once. */
  List<Finding> objections(List<RecordedReading> readings) {
    return readings.stream()
        .map(RecordedReading::reading)
        .flatMap(reading -> objections(reading).stream())
        .distinct()
        .map(sentence -> Finding.seen(Finding.ALL, sentence))
        .toList();
  }

  private List<String> objections(Reading reading) {
    return standings.stream()
        .filter(standing -> standing.of(reading.instrument()))
        .flatMap(standing -> standing.objection(reading.receivedAt()).stream())
        .toList();
  }
}
