package org.tallywire.bridge;

import java.util.TreeMap;
import java.util.concurrent.Callable;
import java.util.stream.Collectors;
import org.tallywire.format.FormatException;
import org.tallywire.format.SetupException;
import org.tallywire.journal.JournalException;
import org.tallywire.journal.JournalView;
import org.tallywire.testset.TestSet;
import org.tallywire.testset.TestSetEvent;
import picocli.CommandLine.Command;
import picocli.CommandLine.Mixin;

/** {@code tallywire test-set list}. */
@Command(
    name = "list",
    description = "Lists the test sets that the journal knows.",
    mixinStandardHelpOptions = true)
final class TestSetListCommand implements Callable<Integer> {

  @Mixin private BridgeArgument bridge = new BridgeArgument();

  @Override
  public Integer call() throws Exception {
    try (JournalView journal = bridge.journal()) {
      KnownTestSets known = KnownTestSets.of(journal::read, journal::find);
      Folder.cutOff(journal.anchor()).ifPresent(bridge.err()::println);
      if (known.all().isEmpty()) {
        bridge.out().println("There is no test set.");
      }
      known.all().forEach(one -> bridge.out().println(Visible.text(line(one))));
      return Tallywire.OK;
    } catch (JournalException | FormatException e) {
      throw new SetupException("data: " + e.getMessage());
    }
  }

  private static String line(KnownTestSets.Known one) {
    TestSet testSet = one.testSet();
    TestSetEvent.Opened opened = testSet.opened();
    String state =
        one.closed()
            .map(closed -> "closed " + closed.at() + ": " + result(closed))
            .orElseGet(() -> testSet.hindrance().orElse("Open."));
    return "%-24s %-20s %s  %d of %d steps have a reading  %s"
        .formatted(
            opened.testSet(),
            opened.asset(),
            opened.at(),
            testSet.current().size(),
            opened.plan().steps().size(),
            state);
  }

  private static String result(TestSetEvent.Closed closed) {
    return new TreeMap<>(closed.result())
        .entrySet().stream()
            .map(count -> "%d %s".formatted(count.getValue(), count.getKey()))
            .collect(Collectors.joining(", "));
  }
}
