package org.tallywire.bridge;

import java.io.BufferedOutputStream;
import java.io.FileDescriptor;
import java.io.FileOutputStream;
import java.io.IOException;
import java.io.OutputStream;
import java.nio.file.Path;
import java.util.Set;
import java.util.TreeSet;
import java.util.concurrent.Callable;
import org.tallywire.format.RecordFormat;
import org.tallywire.format.SetupException;
import org.tallywire.journal.JournalException;
import org.tallywire.journal.JournalView;
import picocli.CommandLine.Command;
import picocli.CommandLine.Option;
import picocli.CommandLine.Parameters;

/** {@code tallywire export}: a journal's records as lines, byte for byte, in their order. */
@Command(
    name = "export",
    description = {
      "Writes a journal's records to standard output as they stand there, one a line.",
      "A bridge may run on that folder meanwhile; what comes after the start is left out.",
      "Ends with 0 if all were written, with 3 if the output could not be."
    },
    mixinStandardHelpOptions = true)
final class ExportCommand implements Callable<Integer> {

  private static final Set<String> KINDS =
      new TreeSet<>(
          Set.of(
              RecordFormat.READING,
              RecordFormat.BOOKING,
              RecordFormat.VERDICT,
              RecordFormat.GAP,
              RecordFormat.TEST_SET));

  @Parameters(
      paramLabel = "DATA",
      description = "the data folder of a bridge, which may be running")
  private Path data = Path.of("");

  @Option(
      names = "--kind",
      split = ",",
      paramLabel = "KIND",
      description = "only records of these kinds: reading, booking, verdict, gap, test-set")
  private Set<String> kinds = KINDS;

  @Override
  public Integer call() throws Exception {
    Set<String> unknown = new TreeSet<>(kinds);
    unknown.removeAll(KINDS);
    if (!unknown.isEmpty()) {
      throw new SetupException(
          "--kind %s: the kinds are %s"
              .formatted(String.join(", ", unknown), String.join(", ", KINDS)));
    }
    try (JournalView journal = Folder.view(data)) {
      Folder.cutOff(journal.anchor()).ifPresent(System.err::println);
      return export(journal, new FileOutputStream(FileDescriptor.out));
    } catch (JournalException e) {
      throw new SetupException("data: " + e.getMessage());
    }
  }

  private int export(JournalView journal, OutputStream to) throws JournalException {
    try (OutputStream out = new BufferedOutputStream(to, 64 * 1024)) {
      JournalWalk.<IOException>over(
          journal::read,
          journal.head(),
          entry -> {
            if (kinds.contains(entry.kind())) {
              out.write(entry.payload());
              out.write('\n');
            }
          });
      return Tallywire.OK;
    } catch (IOException e) {
      System.err.printf("the output could not be written: %s; stopped%n", e.getMessage());
      return Tallywire.NOT_AS_IT_SHOULD_BE;
    }
  }
}
