package org.tallywire.bridge;

import java.time.Instant;
import java.util.Optional;
import java.util.concurrent.Callable;
import org.tallywire.api.Booking;
import org.tallywire.api.RecordId;
import org.tallywire.testset.TestSetEvent;
import picocli.CommandLine.Command;
import picocli.CommandLine.Mixin;
import picocli.CommandLine.Option;
import picocli.CommandLine.Parameters;

/** The commands about one step of a test set. */
final class TestSetStepCommands {

  /** The word for no step at all. */
  static final String NONE = "none";

  private TestSetStepCommands() {}

  /** {@code tallywire test-set skip}. */
  @Command(
      name = "skip",
      description = {
        "Leaves a step out. A reading that is booked to it later takes that back.",
        "The ids of the steps: tallywire test-set show."
      },
      mixinStandardHelpOptions = true)
  static final class Skip implements Callable<Integer> {
    @Mixin private TestSetArguments about = new TestSetArguments();

    @Parameters(index = "2", paramLabel = "STEP", description = "id of the step")
    private String step = "";

    @Option(names = "--reason", required = true, paramLabel = "TEXT", description = "why")
    private String reason = "";

    @Override
    public Integer call() throws Exception {
      return about.leave(
          (at, asset, station) ->
              new TestSetEvent.Skipped(about.id(), at, asset, station, step, about.by(), reason),
          "Step %s is left out.".formatted(step));
    }
  }

  /** {@code tallywire test-set repeat}. */
  @Command(
      name = "repeat",
      description =
          "Asks for a step to be taken again: its readings up to here count no more, and stay in the"
              + " record with the reason.",
      mixinStandardHelpOptions = true)
  static final class Repeat implements Callable<Integer> {
    @Mixin private TestSetArguments about = new TestSetArguments();

    @Parameters(index = "2", paramLabel = "STEP", description = "id of the step")
    private String step = "";

    @Option(names = "--reason", required = true, paramLabel = "TEXT", description = "why")
    private String reason = "";

    @Override
    public Integer call() throws Exception {
      return about.leave(
          (at, asset, station) ->
              new TestSetEvent.Repeat(about.id(), at, asset, station, step, about.by(), reason),
          "Step %s is to be taken again.".formatted(step));
    }
  }

  /** {@code tallywire test-set book}. */
  @Command(
      name = "book",
      description = {
        "Books a reading to another step, or to none. The booking that it had stays in the record.",
        "The ids of the readings: tallywire test-set show --readings."
      },
      mixinStandardHelpOptions = true)
  static final class Book implements Callable<Integer> {
    @Mixin private TestSetArguments about = new TestSetArguments();

    @Parameters(index = "2", paramLabel = "READING", description = "id of the reading")
    private String reading = "";

    @Parameters(index = "3", paramLabel = "STEP", description = "id of the step, or " + NONE)
    private String step = "";

    @Option(names = "--reason", required = true, paramLabel = "TEXT", description = "why")
    private String reason = "";

    @Override
    public Integer call() throws Exception {
      TestSetEvent.Opened o = about.opened();
      Instant now = Leaving.now();
      String to = step.equals(NONE) ? Booking.NO_STEP : step;
      Booking booking =
          new Booking(
              RecordId.derived("booking", reading, about.id(), to, about.by(), now.toString()),
              reading,
              about.id(),
              to,
              about.by(),
              now,
              Optional.of(reason));
      return about.leave(
          Drafts.of(booking, o.station()),
          "Reading %s is booked to %s.".formatted(reading, step.equals(NONE) ? "no step" : step));
    }
  }
}
