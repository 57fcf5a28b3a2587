package org.tallywire.bridge;

import java.io.IOException;
import java.io.InputStream;
import java.io.PrintStream;
import java.nio.file.Files;
import java.nio.file.Path;
import java.util.Optional;
import java.util.concurrent.Callable;
import org.tallywire.acceptance.Examiner;
import org.tallywire.format.SetupException;
import org.tallywire.journal.Anchor;
import org.tallywire.journal.JournalException;
import org.tallywire.journal.JournalView;
import picocli.CommandLine.Command;
import picocli.CommandLine.Parameters;

/**
 * {@code tallywire recheck}: walks the journal's digest chain and derives every verdict again from
 * the records alone; or does so with a file of records.
 */
@Command(
    name = "recheck",
    description = {
      "Derives every verdict of a journal, or of a file that export wrote, again from its readings"
          + " and compares them, to the last digit.",
      "Ends with 0 if all agree, with 3 if one differs, a line is no record or the digest chain of"
          + " the journal is broken."
    },
    mixinStandardHelpOptions = true)
final class RecheckCommand implements Callable<Integer> {

  @Parameters(
      paramLabel = "DATA",
      description =
          "the data folder of a bridge, which may be running, a file of records, one a line, or - for"
              + " standard input")
  private String data = "";

  @Override
  public Integer call() throws Exception {
    Path path = Path.of(data);
    if (data.equals(RecordFile.STANDARD_INPUT) || Files.isRegularFile(path)) {
      try (InputStream in = RecordFile.open(data)) {
        return file(in, System.out, System.err);
      }
    }
    return journal(path, System.out);
  }

  private static int journal(Path data, PrintStream out) throws SetupException {
    try (JournalView journal = Folder.view(data)) {
      Anchor anchor = journal.anchor();
      long entries = journal.head() - anchor.position();
      Optional<String> broken = journal.verify();
      out.printf(
          "%d entries; the digest chain %s%n",
          entries, broken.map(b -> "is broken: " + Visible.text(b)).orElse("is whole"));
      Folder.cutOff(anchor).ifPresent(out::println);
      if (broken.isPresent()) {
        out.println("What is damaged is not read, so no verdict was derived again.");
        return Tallywire.NOT_AS_IT_SHOULD_BE;
      }
      Recheck recheck = Recheck.of(journal, difference -> tell(out, difference));
      summary(recheck, out);
      return recheck.differences() == 0 ? Tallywire.OK : Tallywire.NOT_AS_IT_SHOULD_BE;
    } catch (JournalException e) {
      throw new SetupException("data: " + e.getMessage());
    }
  }

  /** Rechecks a stream of lines and returns the exit code. */
  static int file(InputStream in, PrintStream out, PrintStream err) throws SetupException {
    RecheckedLines lines =
        new RecheckedLines(
            in,
            difference -> tell(out, difference),
            (line, reason) ->
                err.printf("line %d: %s; it is passed over%n", line, Visible.text(reason)));
    try {
      Recheck recheck = lines.recheck();
      out.printf("%d lines, %d of them no records%n", lines.count(), lines.refused());
      summary(recheck, out);
      return lines.refused() == 0 && recheck.differences() == 0
          ? Tallywire.OK
          : Tallywire.NOT_AS_IT_SHOULD_BE;
    } catch (IOException e) {
      throw new SetupException(
          "reading failed after line %d: %s".formatted(lines.count(), e.getMessage()));
    }
  }

  private static void tell(PrintStream out, String difference) {
    out.printf("  %s%n", Visible.text(difference));
  }

  private static void agreement(Recheck recheck, PrintStream out) {
    out.printf(
        "%d verdicts derived again %s%n",
        recheck.agreeing(),
        recheck.differences() == 0
            ? "agree, to the last digit"
            : "agree, to the last digit; the %d above do not".formatted(recheck.differences()));
  }

  private static void summary(Recheck recheck, PrintStream out) {
    if (recheck.agreeing() + recheck.differences() == 0) {
      out.printf("There was no verdict of method %s to compare.%n", Examiner.METHOD);
    } else {
      agreement(recheck, out);
    }
    recheck
        .otherMethods()
        .forEach(
            (method, count) ->
                out.printf(
                    "%d verdicts were made by method %s; this program computes method %s: not"
                        + " compared%n",
                    count, Visible.text(method), Examiner.METHOD));
    if (recheck.cutOff() > 0) {
      out.printf(
          "%d verdicts are of test sets whose beginning was removed: not compared%n",
          recheck.cutOff());
    }
    if (recheck.unjudged() > 0) {
      out.printf(
          "%d bookings are of no open test set, or their reading is not within reach: nothing was"
              + " derived from them%n",
          recheck.unjudged());
    }
  }
}
