package org.tallywire.bridge;

import java.io.IOException;
import java.io.InputStream;
import java.util.Optional;
import java.util.function.Consumer;
import org.tallywire.api.RecordedReading;
import org.tallywire.format.AnyRecord;
import org.tallywire.format.FormatException;
import org.tallywire.format.RecordFormat;
import org.tallywire.format.RecordLines;
import org.tallywire.journal.JournalException;

/** Rechecks records that come as lines, of which only the last readings are remembered. */
final class RecheckedLines implements Recheck.Earlier {

  private final Window<RecordedReading> readings = new Window<>();
  private final RecordLines lines;
  private final Consumer<String> differing;

  RecheckedLines(InputStream in, Consumer<String> differing, RecordLines.Refusal refusal) {
    this.lines = new RecordLines(in, refusal);
    this.differing = differing;
  }

  /** Reads all of them. */
  Recheck recheck() throws IOException {
    Recheck recheck = new Recheck(this, differing);
    try {
      for (Optional<AnyRecord> next = lines.next(); next.isPresent(); next = lines.next()) {
        take(next.get(), recheck);
      }
      recheck.end();
    } catch (JournalException e) {
      throw new IllegalStateException("lines come from no journal", e);
    }
    return recheck;
  }

  private void take(AnyRecord record, Recheck recheck) throws JournalException {
    try {
      if (record.kind().equals(RecordFormat.READING) && !readings.has(record.id())) {
        readings.put(record.id(), record.reading(), record.json().length);
      }
      recheck.take(record);
    } catch (FormatException e) {
      lines.refuse("%s %s: %s".formatted(record.kind(), record.id(), e.getMessage()));
    }
  }

  /** Returns how many lines were read. */
  long count() {
    return lines.line();
  }

  /** Returns how many of them are no records. */
  long refused() {
    return lines.refused();
  }

  @Override
  public Optional<RecordedReading> reading(String id) {
    return readings.find(id);
  }

  @Override
  public Optional<AnyRecord> verdict(String id) {
    return Optional.empty(); // what came by was compared then
  }
}
