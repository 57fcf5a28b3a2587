package org.tallywire.bridge;

import java.util.List;
import org.tallywire.api.TimeSource;
import org.tallywire.format.PublishedForm;
import org.tallywire.format.RecordFormat;
import org.tallywire.journal.JournalEntry;
import org.tallywire.publish.TallyFormat;

/** What a bridge and a replay publish: entries in the configured form, and tallies. */
record PublishedRecords(String site, PublishedForm form, TimeSource time) implements TallyFormat {

  /** Returns what a configuration with a broker wants. */
  static PublishedRecords of(BridgeConfig config, TimeSource time) {
    return new PublishedRecords(config.site(), config.broker().orElseThrow().payload(), time);
  }

  /** Writes a tally, with the time at which it does. */
  @Override
  public byte[] write(
      String journal, long from, long to, List<String> ids, List<Long> shelved, byte[] digest) {
    return RecordFormat.tally(journal, from, ids, shelved, digest, time.now());
  }

  @Override
  public byte[] payload(JournalEntry entry) {
    return form.payload(site, entry.payload());
  }
}
