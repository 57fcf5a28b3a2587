package org.tallywire.bridge;

import java.net.URI;
import java.nio.file.Path;
import java.util.concurrent.Callable;
import java.util.concurrent.CountDownLatch;
import org.tallywire.api.TimeSource;
import picocli.CommandLine.Command;
import picocli.CommandLine.Option;
import picocli.CommandLine.Parameters;

/** {@code tallywire run}: a bridge as a configuration file says, until it is told to stop. */
@Command(
    name = "run",
    description = "Runs the bridge that a configuration file describes, until it is stopped.",
    exitCodeListHeading = "%nExit codes:%n",
    exitCodeList = {
      "2:the configuration, the data folder or the command line is wrong; nothing was started",
      "4:it ended by a fault of its own; the log says which",
      "130:it was stopped by Ctrl-C",
      "143:it was ended by the system, which asked it to stop (SIGTERM)"
    },
    mixinStandardHelpOptions = true)
final class RunCommand implements Callable<Integer> {

  @Parameters(paramLabel = "CONFIG", description = "the configuration file (YAML)")
  private Path config = Path.of("");

  @Option(names = "--quiet", description = "do not tell each reading and verdict")
  private boolean quiet;

  @Override
  public Integer call() throws Exception {
    BridgeConfig read = BridgeConfigFile.read(config, Drivers.shipped());
    Tallywire.logTo(read.data(), "INFO");
    CountDownLatch stopped = new CountDownLatch(1);
    try (Bridge bridge = Bridge.open(read, TimeSource.system())) {
      Telling telling = new Telling(bridge.journal(), System.out, bridge.journal().head());
      bridge.atExit(() -> stop(bridge, telling, stopped));
      introduce(read, bridge.start());
      bridge.notices().forEach(System.out::println);
      if (!quiet) {
        telling.start();
      }
      stopped.await();
    }
    return Tallywire.OK;
  }

  private static void stop(Bridge bridge, Telling telling, CountDownLatch stopped) {
    telling.close();
    bridge.close();
    System.out.println("Stopped.");
    stopped.countDown();
  }

  private static void introduce(BridgeConfig config, URI page) {
    System.out.printf("Tallywire runs. Data: %s%n", config.data().toAbsolutePath().normalize());
    System.out.printf(
        "  broker   %s%n",
        config
            .broker()
            .map(one -> "%s, topics %s/%s/…".formatted(one.uri(), one.root(), config.site()))
            .orElse("none; records are kept in the journal"));
    System.out.printf("  page     %s%n", page);
    config.drivers().forEach(driver -> System.out.printf("  %s%n", driver));
    for (BridgeConfig.Station station : config.stations()) {
      System.out.printf(
          "  station  %s: driver %s on %s%n",
          station.name(), station.driver().description().name(), station.address());
    }
    for (BridgeConfig.TestSet testSet : config.testSets()) {
      System.out.printf(
          "  test set %s: %s, fed by %s%n",
          testSet.id(), testSet.nameplate().asset(), String.join(", ", testSet.stations()));
    }
    System.out.println("Stop it with Ctrl-C.");
  }
}
