package org.tallywire.bridge;

import java.io.IOException;
import java.nio.charset.StandardCharsets;
import java.nio.file.Files;
import java.nio.file.Path;
import java.security.GeneralSecurityException;
import java.security.KeyPair;
import java.time.Instant;
import java.util.List;
import java.util.Locale;
import java.util.Optional;
import java.util.concurrent.Callable;
import org.jspecify.annotations.Nullable;
import org.tallywire.format.FormatException;
import org.tallywire.format.SetupException;
import org.tallywire.journal.JournalEntry;
import org.tallywire.journal.JournalException;
import org.tallywire.journal.JournalView;
import org.tallywire.report.EntryLines;
import org.tallywire.report.HtmlReport;
import org.tallywire.report.PdfReport;
import org.tallywire.report.ShopKey;
import org.tallywire.report.TestRecord;
import org.tallywire.report.TestRecordReader;
import picocli.CommandLine.Command;
import picocli.CommandLine.Mixin;
import picocli.CommandLine.Option;
import picocli.CommandLine.Parameters;

/** {@code tallywire report}: the record of a test set, to hand over. */
@Command(
    name = "report",
    description = {
      "Writes the record of a test set: as PDF (PDF/A-3, sealed, with the journal's entries as"
          + " attachment), as one HTML page, or as the sealed entries alone (jsonl).",
      "Every number is the one that was recorded. An incomplete record says so on its first page.",
      "A bridge may run on that folder meanwhile; the record is of what was there at the start.",
      "Ends with 0 if the record is complete, with 3 if it was written and is incomplete or holds a"
          + " failed verdict."
    },
    mixinStandardHelpOptions = true)
final class ReportCommand implements Callable<Integer> {

  private static final int BEFORE = 1;

  @Mixin private BridgeArgument bridge = new BridgeArgument();

  @Parameters(index = "1", paramLabel = "TEST-SET", description = "the test set's id")
  private String testSet = "";

  @Option(
      names = "--out",
      required = true,
      paramLabel = "FILE",
      description = "the new file: NAME.pdf, NAME.html or NAME.jsonl")
  private Path file = Path.of("");

  @Option(
      names = "--key",
      paramLabel = "FILE",
      description = "the shop's key, to sign PDF and jsonl with; tallywire key new makes one")
  private @Nullable Path key;

  @Option(names = "--paper", paramLabel = "PAPER", description = "A4 (default) or letter")
  private HtmlReport.Paper paper = HtmlReport.Paper.A4;

  @Override
  public Integer call() throws Exception {
    String form = form();
    Optional<KeyPair> signer = key(form);
    TestRecord record = collect();
    Instant made = Instant.now();
    String program = "tallywire " + Tallywire.VERSION;
    byte[] content =
        switch (form) {
          case "html" -> page(record, made, program).getBytes(StandardCharsets.UTF_8);
          case "jsonl" -> EntryLines.sealed(record, signer);
          default ->
              PdfReport.of(
                  page(record, made, program),
                  EntryLines.sealed(record, signer),
                  signer,
                  made,
                  program);
        };
    try {
      NewFile.write(file, stream -> stream.write(content));
    } catch (IOException e) {
      throw new SetupException("%s: cannot be written: %s".formatted(file, e));
    }
    return told(record, form, content.length);
  }

  private String page(TestRecord record, Instant made, String program) {
    return HtmlReport.of(record, paper, made, program);
  }

  private String form() throws SetupException {
    String name = String.valueOf(file.getFileName());
    String form = name.substring(name.lastIndexOf('.') + 1).toLowerCase(Locale.ROOT);
    if (!List.of("pdf", "html", "jsonl").contains(form)) {
      throw new SetupException(
          "--out %s: its ending says what is written: .pdf, .html or .jsonl".formatted(file));
    }
    NewFile.refuseIfThere(file);
    return form;
  }

  private Optional<KeyPair> key(String form) throws SetupException {
    if (key == null) {
      return Optional.empty();
    }
    if (form.equals("html")) {
      throw new SetupException("--key: an HTML page has no seal to sign; PDF and jsonl have");
    }
    try {
      return Optional.of(ShopKey.read(Files.readString(key)));
    } catch (IOException | GeneralSecurityException e) {
      throw new SetupException("--key %s: %s".formatted(key, e.getMessage()));
    }
  }

  private TestRecord collect() throws SetupException {
    try (JournalView journal = bridge.journal()) {
      Folder.cutOff(journal.anchor()).ifPresent(bridge.err()::println);
      TestRecordReader reader =
          new TestRecordReader(testSet, journal.identity(), journal.anchor(), lookup(journal));
      JournalWalk.over(journal::read, journal.head(), reader::take);
      return reader
          .record()
          .orElseThrow(
              () ->
                  new SetupException(
                      "test set \"%s\": the journal of %s does not open one of this name; tallywire test-set list names them"
                          .formatted(testSet, bridge.given())));
    } catch (JournalException | FormatException e) {
      throw new SetupException("data: " + e.getMessage());
    }
  }

  private static TestRecordReader.Lookup lookup(JournalView journal) {
    return new TestRecordReader.Lookup() {
      @Override
      public Optional<JournalEntry> find(String id) throws JournalException {
        return journal.find(id);
      }

      @Override
      public byte[] digestBefore(long position) throws JournalException {
        return position == journal.anchor().position() + BEFORE
            ? journal.anchor().digest()
            : journal.read(position - BEFORE - 1, 1).get(0).digest();
      }
    };
  }

  private int told(TestRecord record, String form, int length) {
    bridge
        .out()
        .printf(
            "%s: the record of %s, %d bytes.%n",
            Visible.text(file.toString()), Visible.text(testSet), length);
    bridge.out().printf("Head of the journal, to be kept apart from the file: %s%n", record.head());
    if (form.equals("html")) {
      bridge.out().println("An HTML page has no seal; the PDF and the jsonl have.");
    }
    record.missing().forEach(line -> bridge.out().println("Incomplete: " + Visible.text(line)));
    boolean failed = record.verdicts().stream().anyMatch(verdict -> verdict.state().failed());
    if (failed) {
      bridge.out().println("Some verdicts failed; they stand on the first page.");
    }
    return record.missing().isEmpty() && !failed ? Tallywire.OK : Tallywire.NOT_AS_IT_SHOULD_BE;
  }
}
