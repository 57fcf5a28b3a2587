package org.tallywire.bridge;

import java.io.BufferedOutputStream;
import java.io.IOException;
import java.io.InputStream;
import java.io.OutputStream;
import java.io.PrintStream;
import java.util.Optional;
import java.util.stream.Collectors;
import org.tallywire.acceptance.Verdict;
import org.tallywire.format.AnyRecord;
import org.tallywire.format.FormatException;
import org.tallywire.format.Job;
import org.tallywire.format.RecordLines;

/** One run of {@code tallywire judge}: from a stream of lines to a stream of lines. */
final class JudgeRun {

  private static final int BUFFER = 64 * 1024;

  /** Writing the result failed; what it was read from is not to blame. */
  private static final class OutputException extends IOException {
    private static final long serialVersionUID = 1;

    OutputException(IOException cause) {
      super(cause.getMessage(), cause);
    }
  }

  private final Job job;
  private final RecordLines lines;
  private final OutputStream out;
  private final PrintStream err;
  private final Judge judge;
  private long written;

  JudgeRun(
      Job job, Judge.By by, boolean bookings, InputStream in, OutputStream out, PrintStream err) {
    this.job = job;
    this.out = new BufferedOutputStream(out, BUFFER);
    this.err = err;
    this.lines = new RecordLines(in, (line, reason) -> tell(line, reason + "; it is passed over"));
    this.judge =
        new Judge(
            job,
            by,
            this::write,
            bookings ? Optional.of(this::write) : Optional.empty(),
            this::tell);
  }

  /** Judges all of it and returns the exit code. */
  int run() {
    String broken = "";
    try {
      for (Optional<AnyRecord> next = next(); next.isPresent(); next = next()) {
        try {
          judge.take(next.get(), lines.line());
        } catch (FormatException e) {
          lines.refuse("%s %s: %s".formatted(next.get().kind(), next.get().id(), e.getMessage()));
        }
      }
      judge.end();
      flush();
    } catch (OutputException e) {
      broken =
          "the output could not be written beyond record %d (%s); stopped at line %d"
              .formatted(written, e.getMessage(), lines.line());
    } catch (IOException e) {
      broken = "reading failed after line %d: %s".formatted(lines.line(), e.getMessage());
      flushWhatThereIs();
    }
    summary(broken);
    return broken.isEmpty() && lines.refused() == 0 && judge.tally().troubles == 0 && someBooked()
        ? Tallywire.OK
        : Tallywire.NOT_AS_IT_SHOULD_BE;
  }

  private boolean someBooked() {
    return judge.tally().booked > 0 || judge.tally().readings == 0;
  }

  /** Returns the next record; what is done goes out before this has to wait for more. */
  private Optional<AnyRecord> next() throws IOException {
    if (lines.drained()) {
      flush();
    }
    return lines.next();
  }

  private void write(byte[] json) throws OutputException {
    try {
      out.write(json);
      out.write('\n');
      written++;
    } catch (IOException e) {
      throw new OutputException(e);
    }
  }

  private void flush() throws OutputException {
    try {
      out.flush();
    } catch (IOException e) {
      throw new OutputException(e);
    }
  }

  private void flushWhatThereIs() {
    try {
      flush();
    } catch (OutputException e) {
      tell(lines.line(), "and the output could not be written: " + e.getMessage());
    }
  }

  private void tell(long line, String sentence) {
    err.printf("line %d: %s%n", line, Visible.text(sentence));
  }

  private void summary(String broken) {
    Judge.Tally tally = judge.tally();
    err.printf(
        "Test set %s, %s %s, by criteria %s %s%n",
        job.id(),
        job.nameplate().asset(),
        job.nameplate().group(),
        job.criteria().name(),
        job.criteria().version());
    err.printf(
        "  read      %d lines: %d readings (%d of them repeats), %d bookings of this test set, %d"
            + " other records, %d lines passed over%n",
        lines.line(), tally.readings, tally.repeats, tally.bookings, tally.others, lines.refused());
    err.printf(
        "  booked    %d readings by %s; %d not booked%n",
        tally.booked,
        judge.by() == Judge.By.BOOKINGS ? "the stream's bookings" : "their labels",
        tally.readings - tally.repeats - tally.booked);
    err.printf("  verdicts  %d%s%n", tally.verdicts(), states(tally));
    if (!someBooked()) {
      err.printf(
          "No reading was booked: readings of the stations %s count, and their labels test,"
              + " windings, phase and tap must name a step.%n",
          String.join(", ", job.stations()));
    }
    if (!broken.isEmpty()) {
      err.println(Visible.text(broken));
    }
  }

  private static String states(Judge.Tally tally) {
    return tally.verdicts.isEmpty()
        ? ""
        : tally.verdicts.entrySet().stream()
            .map(count -> "%d %s".formatted(count.getValue(), word(count.getKey())))
            .collect(Collectors.joining(", ", ": ", ""));
  }

  private static String word(Verdict.State state) {
    return state.word().replace('-', ' ');
  }
}
