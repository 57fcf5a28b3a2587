package org.tallywire.testset;

import java.util.ArrayList;
import java.util.LinkedHashMap;
import java.util.List;
import java.util.Map;
import org.tallywire.api.Instrument;

/** All that records say of how right one instrument is. Used by one thread. */
public final class InstrumentHistory {

  private final List<InstrumentEvent> events = new ArrayList<>();
  private InstrumentStanding standing;

  /** Begins the history of an instrument with a serial number. */
  public InstrumentHistory(Instrument instrument) {
    this.standing = InstrumentStanding.unknown(instrument);
  }

  /** Tells whether this is the history of an instrument. */
  public boolean of(Instrument instrument) {
    return standing.of(instrument);
  }

  /** Takes an event of this instrument, in the order of the journal. */
  public void take(InstrumentEvent event) {
    events.add(event);
    standing = standing.after(event);
  }

  /** Returns how the instrument stands now. */
  public InstrumentStanding standing() {
    return standing;
  }

  /** Returns the events in their order. */
  public List<InstrumentEvent> events() {
    return List.copyOf(events);
  }

  /** Returns the verifications, those with the same standard together. */
  public List<VerificationSeries> series() {
    Map<List<String>, List<InstrumentEvent.Verified>> together = new LinkedHashMap<>();
    for (InstrumentEvent event : events) {
      if (event instanceof InstrumentEvent.Verified made) {
        List<String> key =
            List.of(
                made.quantity().name(),
                made.standard(),
                made.standardSerial(),
                made.limitUnit().code());
        together.computeIfAbsent(key, unused -> new ArrayList<>()).add(made);
      }
    }
    return together.values().stream()
        .map(
            all -> {
              InstrumentEvent.Verified first = all.get(0);
              return new VerificationSeries(
                  first.quantity(), first.standard(), first.standardSerial(), all);
            })
        .toList();
  }
}
