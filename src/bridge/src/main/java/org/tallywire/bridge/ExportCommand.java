package org.tallywire.bridge;

import java.io.BufferedOutputStream;
import java.io.FileDescriptor;
import java.io.FileOutputStream;
import java.io.IOException;
import java.io.OutputStream;
import java.nio.file.Files;
import java.nio.file.Path;
import java.util.Optional;
import java.util.Set;
import java.util.TreeSet;
import java.util.concurrent.Callable;
import org.jspecify.annotations.Nullable;
import org.tallywire.format.RecordFormat;
import org.tallywire.format.SetupException;
import org.tallywire.journal.JournalException;
import org.tallywire.journal.JournalView;
import picocli.CommandLine.Command;
import picocli.CommandLine.Option;
import picocli.CommandLine.Parameters;

/** {@code tallywire export}: a journal's records as they are, or as other programs take them. */
@Command(
    name = "export",
    description = {
      "Writes a journal's records: as lines, byte for byte as they stand there (jsonl); readings"
          + " with what was found of them as a table (csv, xlsx); readings as SenML; every record as"
          + " a CloudEvent.",
      "A bridge may run on that folder meanwhile; what comes after the start is left out.",
      "Ends with 0 if all were written, with 3 if the output could not be, or a record not read."
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
              RecordFormat.TEST_SET,
              RecordFormat.NOTE,
              RecordFormat.CHECKLIST,
              RecordFormat.VERIFICATION));

  /** What stands between the cells of CSV. */
  enum Separator {
    COMMA(','),
    SEMICOLON(';'),
    TAB('\t');

    private final char character;

    Separator(char character) {
      this.character = character;
    }
  }

  @Parameters(
      paramLabel = "DATA|CONFIG",
      description = "the data folder of a bridge, which may be running, or its configuration file")
  private Path data = Path.of("");

  @Option(
      names = "--kind",
      split = ",",
      paramLabel = "KIND",
      description =
          "only records of these kinds: reading, booking, verdict, gap, test-set, note, checklist,"
              + " verification; with jsonl and cloudevents")
  private Set<String> kinds = KINDS;

  @Option(
      names = "--format",
      paramLabel = "FORMAT",
      description = "jsonl (default), csv, xlsx, senml or cloudevents")
  private ExportForm.Word form = ExportForm.Word.JSONL;

  @Option(
      names = "--test-set",
      paramLabel = "ID",
      description = "only what belongs to this test set")
  private @Nullable String testSet;

  @Option(
      names = "--separator",
      paramLabel = "WORD",
      description =
          "of csv: comma (default), semicolon or tab; the decimal mark is always the point")
  private Separator separator = Separator.COMMA;

  @Option(
      names = "--site",
      paramLabel = "NAME",
      description = "of cloudevents: the site, where a folder is given and no configuration file")
  private @Nullable String site;

  @Option(
      names = "--out",
      paramLabel = "FILE",
      description = "a new file; default: standard output. xlsx needs one")
  private @Nullable Path out;

  @Override
  public Integer call() throws Exception {
    check();
    ExportRun.Wish wish =
        new ExportRun.Wish(form, kinds, Optional.ofNullable(testSet), separator.character, site());
    try (JournalView journal = Folder.view(Folder.of(data))) {
      Folder.cutOff(journal.anchor()).ifPresent(System.err::println);
      return export(new ExportRun(journal, wish, line -> System.err.println(Visible.text(line))));
    } catch (JournalException e) {
      throw new SetupException("data: " + e.getMessage());
    }
  }

  private void check() throws SetupException {
    Set<String> unknown = new TreeSet<>(kinds);
    unknown.removeAll(KINDS);
    if (!unknown.isEmpty()) {
      throw new SetupException(
          "--kind %s: the kinds are %s"
              .formatted(String.join(", ", unknown), String.join(", ", KINDS)));
    }
    if (form.readingsAlone() && !kinds.equals(KINDS)) {
      throw new SetupException(
          "--kind: csv, xlsx and senml show readings alone; --kind goes with jsonl and cloudevents");
    }
    if (form == ExportForm.Word.XLSX && out == null) {
      throw new SetupException("--format xlsx: say --out FILE.xlsx, the new file to write");
    }
  }

  private String site() throws SetupException {
    if (form != ExportForm.Word.CLOUDEVENTS || site != null) {
      return site == null ? "" : site;
    }
    if (!Files.isRegularFile(data)) {
      throw new SetupException(
          "--format cloudevents: say --site NAME, or give the configuration file in place of the"
              + " folder: the source of an event names the site");
    }
    return BridgeConfigFile.read(data, Drivers.shipped()).site();
  }

  private int export(ExportRun run) throws JournalException, SetupException {
    if (!run.prepare()) {
      throw new SetupException(
          "--test-set %s: the journal knows no such test set".formatted(testSet));
    }
    try {
      long[] refused = {0};
      if (out == null) {
        try (OutputStream to =
            new BufferedOutputStream(new FileOutputStream(FileDescriptor.out), 64 * 1024)) {
          refused[0] = run.write(to);
        }
      } else {
        NewFile.<JournalException>write(out, to -> refused[0] = run.write(to));
      }
      return refused[0] == 0 ? Tallywire.OK : Tallywire.NOT_AS_IT_SHOULD_BE;
    } catch (IOException e) {
      System.err.printf("the output could not be written: %s; stopped%n", e.getMessage());
      return Tallywire.NOT_AS_IT_SHOULD_BE;
    }
  }
}
