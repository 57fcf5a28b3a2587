package org.tallywire.bridge;

import java.io.IOException;
import java.io.OutputStream;
import java.util.Optional;
import java.util.Set;
import java.util.function.Consumer;
import org.tallywire.format.AnyRecord;
import org.tallywire.format.FormatException;
import org.tallywire.format.JudgedReadings;
import org.tallywire.format.RecordFormat;
import org.tallywire.journal.JournalEntry;
import org.tallywire.journal.JournalException;
import org.tallywire.journal.JournalView;

/** One going through a journal that writes what was asked for. Used by one thread. */
final class ExportRun {

  /**
   * What is wanted.
   *
   * @param testSet of one test set alone: its own records and all readings ever booked to it; in a
   *     table and in SenML those that belong to it at last
   * @param site for CloudEvents
   */
  record Wish(
      ExportForm.Word form,
      Set<String> kinds,
      Optional<String> testSet,
      char separator,
      String site) {}

  private final JournalView journal;
  private final long head;
  private final Wish wish;
  private final Consumer<String> told;
  private final JudgedReadings judged;
  private long refused;
  private boolean known;

  ExportRun(JournalView journal, Wish wish, Consumer<String> told) throws JournalException {
    this.journal = journal;
    this.head = journal.head();
    this.wish = wish;
    this.told = told;
    this.judged = new JudgedReadings(wish.testSet());
  }

  /**
   * Looks through the journal first where a row says what came later.
   *
   * @return whether there is such a test set; true where none is asked for
   */
  boolean prepare() throws JournalException {
    boolean needed = wish.form().table() || wish.testSet().isPresent();
    if (!needed) {
      return true;
    }
    JournalWalk.over(
        journal::read,
        head,
        entry -> {
          switch (entry.kind()) {
            case RecordFormat.BOOKING, RecordFormat.VERDICT, RecordFormat.TEST_SET ->
                read(entry, this::prepare);
            default -> {
              // read when it is written
            }
          }
        });
    return wish.testSet().isEmpty() || known;
  }

  private void prepare(AnyRecord record) throws FormatException {
    known |= record.testSet().equals(wish.testSet().orElse(""));
    judged.take(record);
  }

  /** Writes it; returns how many records could not be read. */
  long write(OutputStream out) throws JournalException, IOException {
    if (wish.form() == ExportForm.Word.JSONL && wish.testSet().isEmpty()) {
      plain(out);
      return 0;
    }
    try (ExportForm form = form(out)) {
      JournalWalk.<IOException>over(journal::read, head, entry -> write(entry, form));
      form.leftOut()
          .forEach(
              (why, count) ->
                  told.accept(
                      "left out, for SenML cannot say it: %s, %d times".formatted(why, count)));
    }
    return refused;
  }

  /** Whatever stands there, readable or not. */
  private void plain(OutputStream out) throws JournalException, IOException {
    JournalWalk.<IOException>over(
        journal::read,
        head,
        entry -> {
          if (wish.kinds().contains(entry.kind())) {
            out.write(entry.payload());
            out.write('\n');
          }
        });
    out.flush();
  }

  private void write(JournalEntry entry, ExportForm form) throws IOException {
    boolean reading = entry.kind().equals(RecordFormat.READING);
    if (wish.form().readingsAlone() ? !reading : !wish.kinds().contains(entry.kind())) {
      return;
    }
    try {
      AnyRecord record = AnyRecord.of(entry.payload());
      if (wish.testSet().isEmpty() || belongs(record, reading)) {
        form.take(record);
      }
    } catch (FormatException e) {
      refuse(entry, e);
    }
  }

  private boolean belongs(AnyRecord record, boolean reading) {
    String wanted = wish.testSet().orElseThrow();
    if (!reading) {
      return record.testSet().equals(wanted);
    }
    return wish.form().readingsAlone()
        ? judged.testSet(record.id()).equals(wanted)
        : judged.everBooked(record.id());
  }

  private ExportForm form(OutputStream out) throws IOException {
    return switch (wish.form()) {
      case JSONL -> ExportForm.lines(out);
      case CSV, XLSX -> ExportForm.table(wish.form(), out, wish.separator(), judged);
      case SENML -> ExportForm.senml(out);
      case CLOUDEVENTS -> ExportForm.cloudEvents(out, wish.site());
    };
  }

  private interface Taking {
    void record(AnyRecord record) throws FormatException;
  }

  private void read(JournalEntry entry, Taking taking) {
    try {
      taking.record(AnyRecord.of(entry.payload()));
    } catch (FormatException e) {
      if (wish.form().readingsAlone()) { // else it is told when it would be written
        refuse(entry, e);
      }
    }
  }

  private void refuse(JournalEntry entry, FormatException e) {
    refused++;
    told.accept(
        "entry %d, %s %s: left out: %s"
            .formatted(entry.position(), entry.kind(), entry.id(), e.getMessage()));
  }
}
