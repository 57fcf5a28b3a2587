package org.tallywire.bridge;

import java.nio.file.Files;
import java.nio.file.Path;
import java.util.List;
import java.util.Optional;
import java.util.concurrent.Callable;
import org.tallywire.api.TimeSource;
import org.tallywire.format.SetupException;
import org.tallywire.journal.Journal;
import org.tallywire.journal.JournalException;
import picocli.CommandLine.Command;
import picocli.CommandLine.Parameters;

/**
 * {@code tallywire recheck}: walks the journal's digest chain and derives every verdict again from
 * the records alone.
 */
@Command(
    name = "recheck",
    description =
        "Derives every verdict of a journal again from its readings and compares them, to the"
            + " last digit.",
    mixinStandardHelpOptions = true)
final class RecheckCommand implements Callable<Integer> {

  @Parameters(paramLabel = "DATA", description = "the data folder of a bridge that is not running")
  private Path data = Path.of("");

  @Override
  public Integer call() throws Exception {
    if (!Files.exists(data.resolve("journal.db"))) {
      throw new SetupException("%s: holds no journal (journal.db)".formatted(data));
    }
    Tallywire.logTo(data, "WARN");
    try (Journal journal = Journal.open(data, TimeSource.system())) {
      Optional<String> broken = journal.verify();
      Recheck recheck = Recheck.of(journal);
      System.out.printf(
          "%d entries; the digest chain %s%n",
          journal.head(), broken.map(b -> "is broken: " + b).orElse("is whole"));
      List<String> differences = recheck.differences();
      System.out.printf(
          "%d verdicts derived again; %s%n",
          recheck.derived(),
          differences.isEmpty() ? "all agree, to the last digit" : "these differ:");
      differences.forEach(difference -> System.out.printf("  %s%n", difference));
      return broken.isEmpty() && differences.isEmpty()
          ? Tallywire.OK
          : Tallywire.NOT_AS_IT_SHOULD_BE;
    } catch (JournalException e) {
      throw new SetupException("data: " + e.getMessage());
    }
  }
}
