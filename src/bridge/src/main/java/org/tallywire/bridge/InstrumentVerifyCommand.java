package org.tallywire.bridge;

import java.math.BigDecimal;
import java.nio.file.Path;
import java.time.Duration;
import java.util.List;
import java.util.Optional;
import java.util.concurrent.Callable;
import org.jspecify.annotations.Nullable;
import org.tallywire.acceptance.CriteriaTable;
import org.tallywire.acceptance.Verdict;
import org.tallywire.acceptance.uncertainty.Accuracy;
import org.tallywire.api.Quantity;
import org.tallywire.api.RecordedReading;
import org.tallywire.format.CriteriaFile;
import org.tallywire.format.FormatException;
import org.tallywire.format.SetupException;
import org.tallywire.format.StandardsFile;
import org.tallywire.journal.JournalException;
import org.tallywire.journal.JournalView;
import org.tallywire.testset.InstrumentEvent;
import org.tallywire.testset.ReferenceStandard;
import org.tallywire.testset.VerificationRule;
import picocli.CommandLine.Command;
import picocli.CommandLine.Mixin;
import picocli.CommandLine.Option;

/** {@code tallywire instrument verify}. */
@Command(
    name = "verify",
    description = {
      "Holds the instrument at a station against a reference standard, and writes what comes of it:"
          + " pass, fail, or undecided if the deviation is nearer to the limit than the"
          + " uncertainty. The limit is the accuracy that the criteria state for the instruments,"
          + " which is what verdicts count on.",
      "A test set that is open at the station would take the readings for its own: pause it before"
          + " (tallywire test-set pause).",
      "Ends with 0 if it passes and is written, else with 3."
    },
    mixinStandardHelpOptions = true)
final class InstrumentVerifyCommand implements Callable<Integer> {

  @Mixin private BridgeArgument bridge = new BridgeArgument();

  private static final int MOST = 100;

  @Option(names = "--station", required = true, paramLabel = "NAME", description = "its station")
  private String station = "";

  @Option(
      names = "--standards",
      required = true,
      paramLabel = "FILE",
      description = "the file of reference standards (shared/standards)")
  private Path standards = Path.of("");

  @Option(
      names = "--standard",
      required = true,
      paramLabel = "NAME",
      description = "the standard that is connected")
  private String standard = "";

  @Option(names = "--by", required = true, paramLabel = "NAME", description = "who does it")
  private String by = "";

  @Option(
      names = "--criteria",
      paramLabel = "NAME|FILE",
      defaultValue = CriteriaFile.DEFAULT,
      description = "the profile whose accuracies are the limit; default ${DEFAULT-VALUE}")
  private String criteria = CriteriaFile.DEFAULT;

  @Option(
      names = "--readings",
      split = ",",
      paramLabel = "ID",
      description = "ids of readings that were taken of the standard; else it waits for the next")
  private List<String> ids = List.of();

  @Option(
      names = "--count",
      paramLabel = "N",
      defaultValue = "3",
      description = "how many readings to wait for, 1 to 100; default ${DEFAULT-VALUE}")
  private int count = 3;

  @Option(
      names = "--wait",
      paramLabel = "TIME",
      defaultValue = "10 min",
      description = "how long to wait for them, such as 30 s; default ${DEFAULT-VALUE}")
  private String wait = "10 min";

  @Option(
      names = "--temperature",
      paramLabel = "CELSIUS",
      description = "of the standard; without it nothing is corrected")
  private @Nullable BigDecimal temperature;

  @Option(
      names = "--temperature-within",
      paramLabel = "KELVIN",
      defaultValue = "1",
      description = "how far that may be wrong; default ${DEFAULT-VALUE}")
  private BigDecimal within = BigDecimal.ONE;

  @Override
  public Integer call() throws Exception {
    VerificationRule rule = rule();
    Duration longest =
        Durations.orSeconds(wait)
            .orElseThrow(
                () -> new SetupException("--wait: \"%s\" is no time such as 30 s".formatted(wait)));
    if (count < 1 || count > MOST) {
      throw new SetupException("--count: %d is not from 1 to %d".formatted(count, MOST));
    }
    List<RecordedReading> readings;
    try (JournalView journal = bridge.journal()) {
      readings = readings(journal, rule.standard().kind().quantity(), longest);
    } catch (JournalException | FormatException e) {
      throw new SetupException("data: " + e.getMessage());
    }
    if (ids.isEmpty() && readings.size() < count) {
      bridge
          .err()
          .printf(
              "Nothing is written: %d of %d readings came in %s.%n",
              readings.size(), count, Durations.written(longest));
      return Tallywire.NOT_AS_IT_SHOULD_BE;
    }
    List<String> objections = rule.objections(readings);
    if (!objections.isEmpty()) {
      throw new SetupException(objections);
    }
    return leave(rule.verify(readings, by, Leaving.now()));
  }

  private List<RecordedReading> readings(JournalView journal, Quantity quantity, Duration longest)
      throws JournalException, FormatException, SetupException, InterruptedException {
    StandardReadings readings = new StandardReadings(journal, station, quantity);
    return ids.isEmpty()
        ? readings.next(count, longest, bridge.out())
        : readings.named(ids.stream().map(String::strip).toList());
  }

  private VerificationRule rule() throws SetupException {
    if (by.isBlank()) {
      throw new SetupException("--by: say who does it");
    }
    if (within.signum() < 0) {
      throw new SetupException("--temperature-within: %s is below zero".formatted(within));
    }
    ReferenceStandard held = StandardsFile.read(standards, standard);
    if (temperature != null && held.warmth().isEmpty()) {
      throw new SetupException(
          "--temperature: the standard %s has no temperature coefficient in %s; leave it out"
              .formatted(standard, standards));
    }
    CriteriaTable table = CriteriaFile.named(criteria, Path.of(""));
    String quantity = held.kind().quantity().name();
    Accuracy accuracy = table.accuracies().get(quantity);
    if (accuracy == null) {
      throw new SetupException(
          "--criteria %s: states no accuracy of %s to hold the instrument to; write one under"
                  .formatted(criteria, quantity)
              + " \"accuracies\" in a profile of your own");
    }
    return new VerificationRule(
        held,
        accuracy,
        Optional.ofNullable(temperature).map(t -> new VerificationRule.Temperature(t, within)));
  }

  private int leave(InstrumentEvent.Verified made) throws SetupException {
    bridge.out().println(Visible.text(made.sentence()));
    int left = bridge.leave(Drafts.of(made), "The verification is written.");
    return made.state() == Verdict.State.PASS ? left : Tallywire.NOT_AS_IT_SHOULD_BE;
  }
}
