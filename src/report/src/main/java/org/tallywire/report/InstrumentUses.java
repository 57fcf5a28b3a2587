package org.tallywire.report;

import java.util.ArrayList;
import java.util.Collection;
import java.util.LinkedHashMap;
import java.util.List;
import java.util.Map;
import org.tallywire.api.ClockQuality;
import org.tallywire.api.Instrument;
import org.tallywire.api.RecordedReading;
import org.tallywire.testset.InstrumentEvent;
import org.tallywire.testset.InstrumentStanding;
import org.tallywire.testset.Instruments;

/** Finds the instruments that took some readings, and how each stood. */
final class InstrumentUses {

  private record Place(Instrument instrument, String station, String driver) {}

  private InstrumentUses() {}

  /**
   * Returns them in the order of their first reading.
   *
   * @param known standings when the test set was opened
   * @param events of all instruments up to its end
   */
  static List<TestRecord.InstrumentUse> of(
      Collection<TestRecord.Taken> taken,
      List<InstrumentStanding> known,
      List<InstrumentEvent> events) {
    Map<Place, List<RecordedReading>> places = new LinkedHashMap<>();
    for (TestRecord.Taken one : taken) {
      RecordedReading reading = one.recorded();
      places
          .computeIfAbsent(
              new Place(reading.reading().instrument(), reading.station(), reading.driver()),
              place -> new ArrayList<>())
          .add(reading);
    }
    Instruments instruments = new Instruments(known);
    events.forEach(instruments::take);
    List<TestRecord.InstrumentUse> uses = new ArrayList<>();
    places.forEach(
        (place, readings) ->
            uses.add(
                new TestRecord.InstrumentUse(
                    standing(instruments.standings(), place.instrument()),
                    place.station(),
                    place.driver(),
                    readings.size(),
                    clock(readings),
                    events.stream()
                        .filter(e -> unknown(e.instrument()).of(place.instrument()))
                        .toList())));
    return uses;
  }

  /** Firmware may have changed since it was verified: what is shown is what took the readings. */
  private static InstrumentStanding standing(
      List<InstrumentStanding> standings, Instrument instrument) {
    InstrumentStanding found =
        standings.stream()
            .filter(one -> one.of(instrument))
            .findFirst()
            .orElseGet(() -> unknown(instrument));
    return new InstrumentStanding(
        instrument,
        found.due(),
        found.certificate(),
        found.verified(),
        found.state(),
        found.failures());
  }

  private static InstrumentStanding unknown(Instrument instrument) {
    return InstrumentStanding.unknown(instrument);
  }

  private static ClockQuality clock(List<RecordedReading> readings) {
    return readings.stream()
        .map(reading -> reading.reading().clock())
        .max(java.util.Comparator.naturalOrder())
        .orElse(ClockQuality.NONE);
  }
}
