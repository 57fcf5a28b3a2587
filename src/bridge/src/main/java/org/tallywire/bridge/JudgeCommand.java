package org.tallywire.bridge;

import java.io.FileDescriptor;
import java.io.FileOutputStream;
import java.io.InputStream;
import java.io.OutputStream;
import java.nio.file.Path;
import java.util.concurrent.Callable;
import org.jspecify.annotations.Nullable;
import org.tallywire.format.CriteriaFile;
import org.tallywire.format.Job;
import org.tallywire.format.JobFile;
import picocli.CommandLine.Command;
import picocli.CommandLine.Option;
import picocli.CommandLine.Parameters;

/** {@code tallywire judge}: records in, verdicts out, with no bridge and no journal. */
@Command(
    name = "judge",
    description = {
      "Judges readings from a file or standard input, one JSON record a line, and writes verdicts,"
          + " one a line, to standard output. What was wrong, and a summary, go to standard error.",
      "Ends with 0 if everything was judged, whatever the verdicts, or nothing came; with 3 if a"
          + " line was no record, a booking could not be judged, readings came and none was booked,"
          + " or the output could not be written; with 2 if the job is wrong."
    },
    mixinStandardHelpOptions = true)
final class JudgeCommand implements Callable<Integer> {

  @Option(
      names = "--job",
      required = true,
      paramLabel = "FILE",
      description =
          "the test set as an entry of test-sets in a configuration: id, nameplate (inline or a"
              + " path), stations, and if need be criteria, tests, ratio-basis,"
              + " resistance-taps; JSON or YAML")
  private Path job = Path.of("");

  @Option(
      names = "--criteria",
      paramLabel = "TABLE",
      description = "judge by this shipped profile or this file, and not by the job's")
  private @Nullable String criteria;

  @Option(
      names = "--by",
      paramLabel = "WHAT",
      description =
          "what books a reading to its step: labels, bookings, or either: the stream's bookings if"
              + " it has some, else labels (default: either)")
  private Judge.By by = Judge.By.EITHER;

  @Option(names = "--bookings", description = "write each booking, too, before its verdicts")
  private boolean bookings;

  @Parameters(
      arity = "0..1",
      paramLabel = "FILE",
      description = "records, one a line; - or nothing: standard input")
  private String file = RecordFile.STANDARD_INPUT;

  @Override
  public Integer call() throws Exception {
    Job read = JobFile.read(job);
    if (criteria != null) {
      read = read.by(CriteriaFile.named(criteria, Path.of("")));
    }
    try (InputStream in = RecordFile.open(file);
        // not System.out, which hides that its reader has gone
        OutputStream out = new FileOutputStream(FileDescriptor.out)) {
      return new JudgeRun(read, by, bookings, in, out, System.err).run();
    }
  }
}
