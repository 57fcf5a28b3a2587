package org.tallywire.bridge;

import java.io.IOException;
import java.nio.charset.StandardCharsets;
import java.nio.file.Path;
import java.time.Instant;
import java.util.List;
import java.util.concurrent.Callable;
import org.jspecify.annotations.Nullable;
import org.tallywire.format.FormatException;
import org.tallywire.format.SetupException;
import org.tallywire.journal.JournalException;
import org.tallywire.journal.JournalView;
import org.tallywire.testset.InstrumentHistory;
import picocli.CommandLine.Command;
import picocli.CommandLine.Mixin;
import picocli.CommandLine.Option;
import picocli.CommandLine.Parameters;

/** {@code tallywire instrument show}. */
@Command(
    name = "show",
    description = {
      "Lists the instruments that the journal knows and how they stand; of one, its calibrations and"
          + " verifications, and for each standard the control chart of its deviations.",
      "A control chart (NIST/SEMATECH e-Handbook 6.3.2) shows when something has changed, long"
          + " before a limit of accuracy is broken; it decides nothing.",
      "Ends with 0, with 3 if the journal does not know it, it failed or is overdue."
    },
    mixinStandardHelpOptions = true)
final class InstrumentShowCommand implements Callable<Integer> {

  @Mixin private BridgeArgument bridge = new BridgeArgument();

  @Parameters(
      arity = "0..1",
      index = "1",
      paramLabel = "SERIAL",
      description = "the serial number of one; default: a list of all")
  private @Nullable String serial;

  @Option(
      names = "--svg",
      paramLabel = "FILE",
      description = "a new file: the control charts as a drawing")
  private @Nullable Path svg;

  @Override
  public Integer call() throws Exception {
    if (svg != null && serial == null) {
      throw new SetupException(
          "--svg: say of which instrument: instrument show CONFIG|DATA SERIAL");
    }
    InstrumentRecords records;
    try (JournalView journal = bridge.journal()) {
      Folder.cutOff(journal.anchor()).ifPresent(bridge.err()::println);
      records = InstrumentRecords.of(journal);
    } catch (JournalException | FormatException e) {
      throw new SetupException("data: " + e.getMessage());
    }
    List<InstrumentHistory> shown =
        (serial == null ? records.all() : records.find(serial))
            .stream().map(InstrumentRecords.Known::history).toList();
    if (shown.isEmpty()) {
      bridge
          .err()
          .println(
              Visible.text(
                  serial == null
                      ? "The journal has no reading of an instrument with a serial number."
                      : "The journal knows no instrument with serial number %s."
                          .formatted(serial)));
      return Tallywire.NOT_AS_IT_SHOULD_BE;
    }
    Instant now = Instant.now();
    bridge.say(serial == null ? InstrumentText.list(shown, now) : InstrumentText.of(shown, now));
    boolean drawn = svg == null || draw(svg, shown);
    boolean well = shown.stream().allMatch(one -> one.standing().objection(now).isEmpty());
    return well && drawn ? Tallywire.OK : Tallywire.NOT_AS_IT_SHOULD_BE;
  }

  private boolean draw(Path file, List<InstrumentHistory> shown)
      throws SetupException, IOException {
    String drawing = ControlDrawing.of(shown);
    if (drawing.isEmpty()) {
      bridge.err().printf("%s is not written: there is no control chart to draw.%n", file);
      return false;
    }
    byte[] bytes = drawing.getBytes(StandardCharsets.UTF_8);
    NewFile.<IOException>write(file, out -> out.write(bytes));
    return true;
  }
}
