package org.tallywire.bridge;

import java.util.List;
import java.util.Map;
import java.util.concurrent.Callable;
import org.tallywire.testset.TestSetEvent;
import picocli.CommandLine.Command;
import picocli.CommandLine.Mixin;
import picocli.CommandLine.Option;

/** The commands that stop a test set, for a while or for good, and let it go on. */
final class TestSetPauseCommands {

  private TestSetPauseCommands() {}

  /** {@code tallywire test-set pause}. */
  @Command(
      name = "pause",
      description =
          "Pauses a test set: readings are recorded, and booked to it again once it is resumed.",
      mixinStandardHelpOptions = true)
  static final class Pause implements Callable<Integer> {
    @Mixin private TestSetArguments about = new TestSetArguments();

    @Option(names = "--reason", required = true, paramLabel = "TEXT", description = "why")
    private String reason = "";

    @Override
    public Integer call() throws Exception {
      return about.leave(
          (at, asset, station) ->
              new TestSetEvent.Paused(about.id(), at, asset, station, about.by(), reason),
          "Test set %s is paused.".formatted(about.id()));
    }
  }

  /** {@code tallywire test-set resume}. */
  @Command(
      name = "resume",
      description = "Resumes a test set that is paused.",
      mixinStandardHelpOptions = true)
  static final class Resume implements Callable<Integer> {
    @Mixin private TestSetArguments about = new TestSetArguments();

    @Option(names = "--reason", paramLabel = "TEXT", description = "why, if it is worth saying")
    private String reason = "";

    @Override
    public Integer call() throws Exception {
      return about.leave(
          (at, asset, station) ->
              new TestSetEvent.Resumed(about.id(), at, asset, station, about.by(), reason),
          "Test set %s goes on.".formatted(about.id()));
    }
  }

  /** {@code tallywire test-set close}. */
  @Command(
      name = "close",
      description = {
        "Closes a test set: nothing is booked to it any more.",
        "A reason is asked for if steps have neither a reading nor a reason to be skipped, or the"
            + " list for afterwards is not answered with yes."
      },
      mixinStandardHelpOptions = true)
  static final class Close implements Callable<Integer> {
    @Mixin private TestSetArguments about = new TestSetArguments();

    @Option(
        names = "--reason",
        paramLabel = "TEXT",
        description = "why it is closed with something left to do")
    private String reason = "";

    @Override
    public Integer call() throws Exception {
      return about.leave(
          (at, asset, station) ->
              // the bridge counts the verdicts
              new TestSetEvent.Closed(
                  about.id(), at, asset, station, Map.of(), List.of(), about.by(), reason),
          "Test set %s is closed.".formatted(about.id()));
    }
  }
}
