package org.tallywire.bridge;

import java.util.List;
import org.tallywire.format.FormatException;
import org.tallywire.format.RecordFormat;
import org.tallywire.journal.JournalEntry;
import org.tallywire.journal.JournalException;
import org.tallywire.testset.InstrumentEvent;
import org.tallywire.testset.InstrumentStanding;
import org.tallywire.testset.Instruments;

/** How instruments stand by all that the journal says of them. */
final class Standings {

  private Standings() {}

  /** Returns how each instrument stands that a record is there of; reads the whole journal. */
  static List<InstrumentStanding> of(JournalWalk.Pages journal)
      throws JournalException, FormatException {
    Instruments instruments = new Instruments(List.of());
    JournalWalk.<FormatException>over(
        journal,
        entry -> {
          if (entry.kind().equals(RecordFormat.VERIFICATION)) {
            instruments.take(event(entry));
          }
        });
    return instruments.standings();
  }

  /** Returns what an entry says of an instrument; one that cannot be read is named. */
  static InstrumentEvent event(JournalEntry entry) throws FormatException {
    try {
      return RecordFormat.instrumentEvent(entry.payload());
    } catch (FormatException e) {
      throw new FormatException(
          "entry %d, a verification: %s".formatted(entry.position(), e.getMessage()), e);
    }
  }
}
