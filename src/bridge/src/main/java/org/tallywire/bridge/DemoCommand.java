package org.tallywire.bridge;

import java.nio.file.Path;
import java.time.LocalDateTime;
import java.time.ZoneId;
import java.time.format.DateTimeFormatter;
import java.util.ArrayList;
import java.util.List;
import java.util.Optional;
import java.util.concurrent.Callable;
import org.jspecify.annotations.Nullable;
import org.tallywire.format.SetupException;
import picocli.CommandLine.Command;
import picocli.CommandLine.Option;

/** {@code tallywire demo}: the whole main job with a pretend tester, in one command. */
@Command(
    name = "demo",
    description = {
      "Runs the main job on this machine alone: a pretend tester measures an invented transformer"
          + " with one fault, and every reading is recorded, judged, published and shown."
    },
    mixinStandardHelpOptions = true)
final class DemoCommand implements Callable<Integer> {

  private static final List<String> FAULTS = List.of("bad-joint", "shorted-turns", "none");

  private static final long MOST_SEED = 999_999_999;
  private static final int MOST_PORT = 65_535;

  @Option(
      names = "--once",
      description =
          "run one complete test set, print its summary, and end: 0 as it should be, 3 not")
  private boolean once;

  @Option(
      names = "--fault",
      paramLabel = "FAULT",
      description =
          "what is wrong with the unit: ${COMPLETION-CANDIDATES}; default as the simulator's"
              + " scenario hollow-lane says, a bad joint",
      completionCandidates = Faults.class)
  private @Nullable String fault;

  @Option(
      names = "--seed",
      paramLabel = "N",
      description =
          "which unit, which instrument and where the fault sits, 0 to 999999999; default 1")
  private long seed = 1;

  @Option(
      names = "--pace",
      paramLabel = "X",
      description = "how many times faster than real life; default 1, with --once 20")
  private @Nullable Integer pace;

  @Option(
      names = "--data",
      paramLabel = "FOLDER",
      description = "where to write; default tallywire-demo/<now>")
  private @Nullable Path data;

  @Option(
      names = "--page-port",
      paramLabel = "PORT",
      description = "port of the live page; default any free one")
  private int pagePort;

  @Option(
      names = "--mqtt-port",
      paramLabel = "PORT",
      description = "port of the demo's own broker; default any free one")
  private int mqttPort;

  @Override
  public Integer call() throws Exception {
    List<String> problems = new ArrayList<>();
    if (fault != null && !FAULTS.contains(fault)) {
      problems.add("--fault: \"%s\" is none of %s".formatted(fault, String.join(", ", FAULTS)));
    }
    require(problems, "--pace", pace == null ? 1 : pace, 1, 1000);
    require(problems, "--seed", seed, 0, MOST_SEED);
    require(problems, "--page-port", pagePort, 0, MOST_PORT);
    require(problems, "--mqtt-port", mqttPort, 0, MOST_PORT);
    if (!problems.isEmpty()) {
      throw new SetupException(problems);
    }
    String now =
        DateTimeFormatter.ofPattern("uuuuMMdd-HHmmss")
            .format(LocalDateTime.now(ZoneId.systemDefault()));
    Path folder = data == null ? Path.of("tallywire-demo", now) : data;
    Tallywire.logTo(folder, "WARN");
    int speed = pace == null ? (once ? 20 : 1) : pace;
    Demo.Wishes wishes =
        new Demo.Wishes(
            folder, "HL-0231-" + now, Optional.ofNullable(fault), seed, speed, pagePort, mqttPort);
    return new Demo(wishes, System.out).run(once);
  }

  private static void require(
      List<String> problems, String option, long value, long from, long to) {
    if (value < from || value > to) {
      problems.add("%s: %d is not from %d to %d".formatted(option, value, from, to));
    }
  }

  /** The faults that the simulator can plant, for the help text. */
  static final class Faults extends ArrayList<String> {
    Faults() {
      super(FAULTS);
    }
  }
}
