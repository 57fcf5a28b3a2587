package org.tallywire.bridge;

import java.util.HashMap;
import java.util.List;
import java.util.Map;
import org.slf4j.Logger;
import org.slf4j.LoggerFactory;
import org.tallywire.api.Instrument;
import org.tallywire.format.FormatException;
import org.tallywire.format.RecordFormat;
import org.tallywire.journal.Journal;
import org.tallywire.journal.JournalEntry;
import org.tallywire.journal.JournalException;

/**
 * Which instrument each station had last, from the readings among the last entries of the journal;
 * further back is not looked, so a station that has long been silent may be missing.
 */
final class LastInstruments {

  private static final Logger log = LoggerFactory.getLogger(LastInstruments.class);
  private static final int LOOKED_AT = 4_096;
  private static final int PAGE = 256;

  private LastInstruments() {}

  /** Returns the instruments by station. */
  static Map<String, Instrument> of(Journal journal) throws JournalException {
    Map<String, JournalEntry> readings = new HashMap<>();
    long position = Math.max(0, journal.head() - LOOKED_AT);
    List<JournalEntry> page = journal.read(position, PAGE);
    while (!page.isEmpty()) {
      for (JournalEntry entry : page) {
        if (entry.kind().equals(RecordFormat.READING)) {
          readings.put(entry.station(), entry);
        }
        position = entry.position();
      }
      page = journal.read(position, PAGE);
    }
    Map<String, Instrument> instruments = new HashMap<>();
    for (JournalEntry entry : readings.values()) {
      try {
        instruments.put(
            entry.station(), RecordFormat.reading(entry.payload()).reading().instrument());
      } catch (FormatException e) {
        log.warn(
            "{}: its last reading, entry {}, cannot be read, so a change of instrument since then"
                + " is not noticed: {}",
            entry.station(),
            entry.position(),
            e.getMessage());
      }
    }
    return instruments;
  }
}
