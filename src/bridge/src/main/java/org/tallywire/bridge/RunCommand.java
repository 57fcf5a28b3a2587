package org.tallywire.bridge;

import java.net.URI;
import java.nio.file.Path;
import java.util.concurrent.Callable;
import java.util.concurrent.CountDownLatch;
import org.tallywire.api.TimeSource;
import picocli.CommandLine.Command;
import picocli.CommandLine.Parameters;

/** {@code tallywire run}: a bridge as a configuration file says, until it is told to stop. */
@Command(
    name = "run",
    description = "Runs the bridge that a configuration file describes, until it is stopped.",
    mixinStandardHelpOptions = true)
final class RunCommand implements Callable<Integer> {

  @Parameters(paramLabel = "CONFIG", description = "the configuration file (YAML)")
  private Path config = Path.of("");

  @Override
  public Integer call() throws Exception {
    BridgeConfig read = BridgeConfigFile.read(config, Drivers.shipped());
    Tallywire.logTo(read.data(), "INFO");
    CountDownLatch stopped = new CountDownLatch(1);
    try (Bridge bridge = Bridge.open(read, TimeSource.system())) {
      bridge.atExit(() -> stop(bridge, stopped));
      URI page = bridge.start();
      System.out.printf("Tallywire runs. Data: %s%n", read.data().toAbsolutePath().normalize());
      System.out.printf(
          "  broker   %s, topics %s/%s/…%n",
          read.broker().uri(), read.broker().root(), read.site());
      System.out.printf("  page     %s%n", page);
      for (BridgeConfig.Station station : read.stations()) {
        System.out.printf(
            "  station  %s: driver %s on %s%n",
            station.name(), station.driver().description().name(), station.address());
      }
      System.out.println("Stop it with Ctrl-C.");
      stopped.await();
    }
    return Tallywire.OK;
  }

  private static void stop(Bridge bridge, CountDownLatch stopped) {
    bridge.close();
    stopped.countDown();
  }
}
