package org.tallywire.bridge;

import java.io.IOException;
import java.io.PrintStream;
import java.nio.file.Files;
import java.nio.file.Path;
import java.util.ArrayList;
import java.util.HashMap;
import java.util.List;
import java.util.Map;
import java.util.TreeMap;
import java.util.concurrent.Callable;
import java.util.stream.Stream;
import org.jspecify.annotations.Nullable;
import org.tallywire.acceptance.Nameplate;
import org.tallywire.format.FormatException;
import org.tallywire.format.NameplateFile;
import org.tallywire.format.RecordFormat;
import org.tallywire.format.SetupException;
import org.tallywire.journal.JournalException;
import org.tallywire.journal.JournalView;
import org.tallywire.testset.AssetHistory;
import picocli.CommandLine.Command;
import picocli.CommandLine.Option;
import picocli.CommandLine.Parameters;

/** {@code tallywire assets}: a folder of nameplates, and how the last test of each ended. */
@Command(
    name = "assets",
    description = {
      "Lists a folder of nameplate files (*.yaml, *.yml, *.json): asset, group, power, voltages and,"
          + " with --data, the last test set of each and its result.",
      "assets show ASSET tells the history of one. Ends with 0, or with 3 if a nameplate cannot be"
          + " read."
    },
    subcommands = AssetsShowCommand.class,
    mixinStandardHelpOptions = true)
final class AssetsCommand implements Callable<Integer> {

  private static final String ROW = "%-24s %-8s %10s %16s  %s%n";

  @Parameters(
      arity = "0..1",
      paramLabel = "FOLDER",
      description = "the folder of nameplate files; default: this one")
  private Path folder = Path.of(".");

  @Option(
      names = "--data",
      paramLabel = "DATA|CONFIG",
      description = "the data folder of a bridge, which may be running, or its configuration file")
  private @Nullable Path data;

  @Override
  public Integer call() throws Exception {
    List<String> problems = new ArrayList<>();
    Map<String, Nameplate> plates = plates(problems);
    Map<String, AssetHistory> histories = new HashMap<>();
    plates.keySet().forEach(asset -> histories.put(asset, new AssetHistory(asset)));
    if (data != null) {
      try (JournalView journal = Folder.view(Folder.of(data))) {
        events(journal, histories, problems);
      } catch (JournalException e) {
        throw new SetupException("data: " + e.getMessage());
      }
    }
    list(plates, histories, System.out);
    problems.forEach(problem -> System.err.println(Visible.text(problem)));
    return problems.isEmpty() ? Tallywire.OK : Tallywire.NOT_AS_IT_SHOULD_BE;
  }

  private Map<String, Nameplate> plates(List<String> problems) throws SetupException {
    Map<String, Nameplate> plates = new TreeMap<>();
    try (Stream<Path> files = Files.list(folder)) {
      for (Path file : files.filter(AssetsCommand::mayBePlate).sorted().toList()) {
        try {
          Nameplate plate = NameplateFile.read(file);
          if (plates.putIfAbsent(plate.asset(), plate) != null) {
            problems.add("%s: %s has a nameplate already".formatted(file, plate.asset()));
          }
        } catch (SetupException e) {
          problems.addAll(e.problems());
        }
      }
    } catch (IOException e) {
      throw new SetupException("%s: cannot be listed: %s".formatted(folder, e));
    }
    return plates;
  }

  /** Other files may lie there too: only one with a line that begins with the key is a plate. */
  private static boolean mayBePlate(Path file) {
    if (!Files.isRegularFile(file) || !file.toString().matches(".*\\.(yaml|yml|json)")) {
      return false;
    }
    try (Stream<String> lines = Files.lines(file)) {
      return lines.limit(200).anyMatch(line -> line.matches("[\\s{]*\"?group\"?\\s*:.*"));
    } catch (IOException | java.io.UncheckedIOException e) {
      return false;
    }
  }

  private static void events(
      JournalView journal, Map<String, AssetHistory> histories, List<String> problems)
      throws JournalException {
    JournalWalk.over(
        journal::read,
        journal.head(),
        entry -> {
          if (entry.kind().equals(RecordFormat.TEST_SET)) {
            try {
              var event = RecordFormat.testSetEvent(entry.payload());
              AssetHistory history = histories.get(event.asset());
              if (history != null) {
                history.event(event);
              }
            } catch (FormatException e) {
              problems.add("entry %d: %s".formatted(entry.position(), e.getMessage()));
            }
          }
        });
  }

  private static void list(
      Map<String, Nameplate> plates, Map<String, AssetHistory> histories, PrintStream out) {
    out.printf(ROW, "asset", "group", "power/kVA", "voltages/V", "last test set");
    plates.forEach(
        (asset, plate) ->
            out.printf(
                ROW,
                Visible.text(asset),
                plate.group(),
                plate.ratedPower().toPlainString(),
                plate.hvVoltage().toPlainString() + "/" + plate.lvVoltage().toPlainString(),
                last(histories.get(asset))));
  }

  private static String last(@Nullable AssetHistory history) {
    List<AssetHistory.Campaign> campaigns = history == null ? List.of() : history.campaigns();
    if (campaigns.isEmpty()) {
      return "-";
    }
    AssetHistory.Campaign last = campaigns.get(campaigns.size() - 1);
    return Visible.text(last.testSet()) + ", " + AssetText.result(last);
  }
}
