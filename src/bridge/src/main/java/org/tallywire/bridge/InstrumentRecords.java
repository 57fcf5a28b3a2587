package org.tallywire.bridge;

import java.nio.charset.StandardCharsets;
import java.util.HashSet;
import java.util.LinkedHashMap;
import java.util.List;
import java.util.Map;
import java.util.Set;
import java.util.regex.Matcher;
import java.util.regex.Pattern;
import org.tallywire.api.Instrument;
import org.tallywire.format.FormatException;
import org.tallywire.format.RecordFormat;
import org.tallywire.journal.JournalEntry;
import org.tallywire.journal.JournalException;
import org.tallywire.journal.JournalView;
import org.tallywire.testset.InstrumentEvent;
import org.tallywire.testset.InstrumentHistory;

/**
 * The instruments with a serial number that a journal knows, from their readings and from what was
 * said of them. Used by one thread.
 */
final class InstrumentRecords {

  /**
   * The instrument as it stands in a reading: an object of texts. To look for it is much quicker
   * than to read every reading of a long journal whole.
   */
  private static final Pattern IN_READING =
      Pattern.compile("\"instrument\":\\{(?:\"[a-z]++\":\"(?:[^\"\\\\]++|\\\\.)*+\",?+)*+\\}");

  /**
   * An instrument that is known.
   *
   * @param instrument as its last record names it
   * @param station of its last record
   */
  record Known(Instrument instrument, String station, InstrumentHistory history) {}

  private final Map<List<String>, Known> known = new LinkedHashMap<>();
  private final Set<String> seen = new HashSet<>();

  private InstrumentRecords() {}

  /**
   * Reads a journal.
   *
   * @throws FormatException if a record of an instrument cannot be read
   */
  static InstrumentRecords of(JournalView journal) throws JournalException, FormatException {
    InstrumentRecords records = new InstrumentRecords();
    JournalWalk.<FormatException>over(journal::read, journal.head(), records::take);
    return records;
  }

  private void take(JournalEntry entry) throws FormatException {
    switch (entry.kind()) {
      case RecordFormat.READING -> {
        Matcher matcher = IN_READING.matcher(new String(entry.payload(), StandardCharsets.UTF_8));
        if (!matcher.find() || seen.add(entry.station() + matcher.group())) {
          note(RecordFormat.reading(entry.payload()).reading().instrument(), entry.station());
        }
      }
      case RecordFormat.VERIFICATION -> {
        InstrumentEvent event = Standings.event(entry);
        note(event.instrument(), event.station()).history().take(event);
      }
      default -> {
        // says nothing of an instrument
      }
    }
  }

  private Known note(Instrument instrument, String station) {
    List<String> key = List.of(instrument.maker(), instrument.model(), instrument.serial());
    Known before = known.get(key);
    InstrumentHistory history =
        before == null ? new InstrumentHistory(instrument) : before.history();
    Known now = new Known(instrument, station, history);
    if (instrument.identified()) {
      known.put(key, now);
    }
    return now;
  }

  /** Returns the instruments in the order in which they first appear. */
  List<Known> all() {
    return List.copyOf(known.values());
  }

  /** Returns those with a serial number; several makers may have given the same. */
  List<Known> find(String serial) {
    return known.values().stream().filter(one -> one.instrument().serial().equals(serial)).toList();
  }
}
