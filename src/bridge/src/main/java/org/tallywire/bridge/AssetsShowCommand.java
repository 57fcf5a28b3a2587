package org.tallywire.bridge;

import java.io.IOException;
import java.nio.charset.StandardCharsets;
import java.nio.file.Path;
import java.util.ArrayList;
import java.util.List;
import java.util.Optional;
import java.util.concurrent.Callable;
import org.jspecify.annotations.Nullable;
import org.tallywire.api.Booking;
import org.tallywire.format.AnyRecord;
import org.tallywire.format.EarlierFile;
import org.tallywire.format.FormatException;
import org.tallywire.format.RecordFormat;
import org.tallywire.format.SetupException;
import org.tallywire.journal.JournalEntry;
import org.tallywire.journal.JournalException;
import org.tallywire.journal.JournalView;
import org.tallywire.testset.AssetHistory;
import picocli.CommandLine.Command;
import picocli.CommandLine.Option;
import picocli.CommandLine.Parameters;

/** {@code tallywire assets show}: the history of one asset across its test sets. */
@Command(
    name = "show",
    description = {
      "Tells the history of one asset: of each step its values over all test sets and earlier"
          + " results, with deviation, verdict and change.",
      "Ends with 0, with 3 if nothing is known of the asset or a record could not be read."
    },
    mixinStandardHelpOptions = true)
final class AssetsShowCommand implements Callable<Integer> {

  @Parameters(paramLabel = "ASSET", description = "the asset's number, as on its nameplate")
  private String asset = "";

  @Option(
      names = "--data",
      required = true,
      paramLabel = "DATA|CONFIG",
      description = "the data folder of a bridge, which may be running, or its configuration file")
  private Path data = Path.of("");

  @Option(
      names = "--earlier",
      paramLabel = "FILE",
      description = "earlier results that import wrote; may be given several times")
  private List<Path> earlier = new ArrayList<>();

  @Option(
      names = "--html",
      paramLabel = "FILE",
      description = "a new file: the same as a page of its own, with plots of the drift")
  private @Nullable Path html;

  private final List<String> problems = new ArrayList<>();

  @Override
  public Integer call() throws Exception {
    AssetHistory history = new AssetHistory(asset);
    try (JournalView journal = Folder.view(Folder.of(data))) {
      Folder.cutOff(journal.anchor()).ifPresent(System.err::println);
      JournalWalk.over(journal::read, journal.head(), entry -> take(history, journal, entry));
    } catch (JournalException e) {
      throw new SetupException("data: " + e.getMessage());
    }
    for (Path file : earlier) {
      EarlierFile read = EarlierFile.read(file);
      if (!read.asset().equals(asset)) {
        throw new SetupException("%s: holds results of %s".formatted(file, read.asset()));
      }
      history.earlier(read.results());
    }
    System.out.print(AssetText.of(history));
    if (html != null) {
      byte[] page = DriftPage.of(history).getBytes(StandardCharsets.UTF_8);
      NewFile.<IOException>write(html, out -> out.write(page));
    }
    problems.forEach(problem -> System.err.println(Visible.text(problem)));
    return problems.isEmpty() && !history.series().isEmpty()
        ? Tallywire.OK
        : Tallywire.NOT_AS_IT_SHOULD_BE;
  }

  private void take(AssetHistory history, JournalView journal, JournalEntry entry)
      throws JournalException {
    try {
      switch (entry.kind()) {
        case RecordFormat.TEST_SET -> {
          AnyRecord record = AnyRecord.of(entry.payload());
          if (record.asset().equals(asset)) {
            history.event(record.testSetEvent());
          }
        }
        case RecordFormat.BOOKING -> booking(history, journal, entry);
        case RecordFormat.VERDICT -> {
          AnyRecord record = AnyRecord.of(entry.payload());
          if (record.asset().equals(asset)) {
            history.verdict(record.verdict());
          }
        }
        default -> {
          // says nothing about an asset, or is found through its booking
        }
      }
    } catch (FormatException e) {
      problems.add("entry %d: left out: %s".formatted(entry.position(), e.getMessage()));
    }
  }

  private static void booking(AssetHistory history, JournalView journal, JournalEntry entry)
      throws FormatException, JournalException {
    Booking booking = RecordFormat.booking(entry.payload());
    if (history.concerns(booking)) {
      Optional<JournalEntry> reading = journal.find(booking.readingId());
      if (reading.isPresent()) {
        history.booked(booking, RecordFormat.reading(reading.get().payload()));
      }
    }
  }
}
