package org.tallywire.bridge;

import java.io.IOException;
import java.io.InputStream;
import java.io.PrintStream;
import java.net.URI;
import java.nio.charset.StandardCharsets;
import java.nio.file.Files;
import java.nio.file.Path;
import java.time.Duration;
import java.util.ArrayList;
import java.util.List;
import java.util.Optional;
import java.util.concurrent.CountDownLatch;
import java.util.concurrent.TimeUnit;
import org.tallywire.api.LinkAddress;
import org.tallywire.api.TimeSource;
import org.tallywire.format.FormatException;
import org.tallywire.format.SetupException;
import org.tallywire.journal.Journal;
import org.tallywire.journal.JournalException;
import org.tallywire.testset.TestSet;
import org.tallywire.testset.TestSetEvent;

/**
 * The demo: broker, simulator and bridge on this machine alone, told in plain words. The bridge is
 * set up by a configuration file like any other and knows only what its driver tells it.
 */
final class Demo {

  private static final Duration ONCE_LIMIT = Duration.ofMinutes(3);
  private static final Duration DELIVERY_LIMIT = Duration.ofSeconds(20);

  private final Wishes wishes;
  private final PrintStream out;

  Demo(Wishes wishes, PrintStream out) {
    this.wishes = wishes;
    this.out = out;
  }

  /**
   * What the person who started it wants.
   *
   * @param testSet id of the test set to open, another one at every run
   * @param fault what is wrong with the unit instead of what the scenario says
   * @param pace times faster than real life
   * @param pagePort 0 for any free one
   * @param mqttPort 0 for any free one
   */
  record Wishes(
      Path data,
      String testSet,
      Optional<String> fault,
      long seed,
      int pace,
      int pagePort,
      int mqttPort) {}

  /** Runs it and returns the exit code of the command. */
  int run(boolean once) throws Exception {
    makeFolder();
    CountDownLatch ended = new CountDownLatch(1);
    try (EmbeddedBroker broker = new EmbeddedBroker();
        Simulation simulation = Simulation.start(wishes, out)) {
      String uri = startBroker(broker);
      BridgeConfig config = BridgeConfigFile.read(writeFiles(uri, simulation), Drivers.shipped());
      try (Bridge bridge = Bridge.open(config, TimeSource.system())) {
        Telling telling = new Telling(bridge.journal(), out, 0);
        bridge.atExit(() -> stop(bridge, telling, ended));
        introduce(bridge.start(), uri, simulation);
        bridge.notices().forEach(out::println);
        telling.start();
        int code = once ? conclude(bridge, telling, simulation) : watch(bridge, telling, ended);
        out.printf("%nEverything this demo wrote is in %s%n", wishes.data().toAbsolutePath());
        return code;
      }
    }
  }

  private void makeFolder() throws SetupException {
    try {
      Files.createDirectories(wishes.data());
      if (!Files.isWritable(wishes.data())) {
        throw new IOException("this account may not write there");
      }
    } catch (IOException e) {
      throw new SetupException(
          "the data folder %s cannot be used: %s; choose another with --data"
              .formatted(wishes.data().toAbsolutePath(), e.getMessage()));
    }
  }

  private String startBroker(EmbeddedBroker broker) throws SetupException {
    try {
      return broker.start(wishes.mqttPort());
    } catch (IOException e) {
      throw new SetupException(
          "the demo's broker cannot listen on 127.0.0.1:%d: %s; choose another --mqtt-port"
              .formatted(wishes.mqttPort(), e.getMessage()));
    }
  }

  private Path writeFiles(String uri, Simulation simulation) throws IOException {
    try (InputStream nameplate = Demo.class.getResourceAsStream("demo-nameplate.yaml")) {
      if (nameplate == null) {
        throw new IOException("the demo's nameplate is not inside this program");
      }
      Files.write(wishes.data().resolve("nameplate.yaml"), nameplate.readAllBytes());
    }
    List<String> lines = new ArrayList<>();
    lines.add("# The configuration this demo ran with. The shop and its unit are invented.");
    lines.add("site: hollow-lane");
    lines.add("data: .");
    lines.add("mqtt:");
    lines.add("  broker: " + uri);
    lines.add("page:");
    lines.add("  port: " + wishes.pagePort());
    lines.add("stations:");
    lines.add("  bay-1:");
    lines.add("    driver: line");
    if (simulation.address() instanceof LinkAddress.Serial serial) {
      lines.add(
          "    serial: {port: %s, baud: %d}".formatted(serial.port(), serial.settings().baud()));
    } else if (simulation.address() instanceof LinkAddress.Tcp tcp) {
      lines.add("    tcp: {host: %s, port: %d}".formatted(tcp.host(), tcp.port()));
    }
    lines.add("test-sets:");
    lines.add("  - id: " + wishes.testSet());
    lines.add("    nameplate: nameplate.yaml");
    lines.add("    stations: [bay-1]");
    Path file = wishes.data().resolve("demo.yaml");
    Files.write(file, lines, StandardCharsets.UTF_8);
    return file;
  }

  private void introduce(URI page, String uri, Simulation simulation) {
    out.println();
    out.println(
        "Tallywire demo. All of it is invented: the Hollow Lane repair shop, its bench bay-1,");
    out.println(
        "its transformer HL-0231 (250 kVA, 11000/433 V, Dyn11) and the tester on the bench.");
    out.println();
    out.printf(
        "  tester   a simulator, process %d, on %s%n", simulation.pid(), simulation.address());
    out.printf("  fault    %s%n", simulation.plantedInWords());
    out.printf("  broker   %s, inside this process; topics tallywire/hollow-lane/…%n", uri);
    out.printf("  page     %s%n", page);
    out.printf("  data     %s%n", wishes.data().toAbsolutePath());
    out.println();
    out.println(
        "Nothing is energised here. At a real bench, before a lead goes on: disconnect and lock");
    out.println(
        "off every source, prove dead, earth; excite the HV side only; after a resistance test");
    out.println(
        "wait until the winding is discharged. Local rules and licensed persons come first.");
    out.println();
  }

  private int conclude(Bridge bridge, Telling telling, Simulation simulation) throws Exception {
    long deadline = System.nanoTime() + ONCE_LIMIT.toNanos();
    while (!isClosed(bridge) && simulation.isAlive() && System.nanoTime() < deadline) {
      bridge.journal().awaitBeyond(bridge.journal().head(), Duration.ofMillis(250));
    }
    long head = bridge.journal().head();
    boolean delivered = bridge.publisher().orElseThrow().awaitDelivered(head, DELIVERY_LIMIT);
    telling.close();
    out.println();
    if (!isClosed(bridge)) {
      out.println(
          simulation.isAlive()
              ? "The test set was not complete within %d s.".formatted(ONCE_LIMIT.toSeconds())
              : "The simulator ended before the test set was complete.");
      return Tallywire.NOT_AS_IT_SHOULD_BE;
    }
    TestSet testSet = testSet(bridge);
    out.println(SummaryTable.of(testSet));
    out.printf(
        "%d records journalled, %s.%n",
        head,
        delivered
            ? "all accepted by the broker"
            : "not all of them accepted by the broker within " + DELIVERY_LIMIT);
    List<String> wrong = simulation.notAsPlanted(List.copyOf(testSet.verdicts()));
    wrong.forEach(sentence -> out.printf("NOT AS IT SHOULD BE: %s%n", sentence));
    if (wrong.isEmpty()) {
      out.printf("As it should be: %s%n", simulation.foundInWords());
    }
    return wrong.isEmpty() && delivered ? Tallywire.OK : Tallywire.NOT_AS_IT_SHOULD_BE;
  }

  private TestSet testSet(Bridge bridge) throws JournalException, FormatException, SetupException {
    Journal journal = bridge.journal();
    return KnownTestSets.of(journal::read, journal::find).find(wishes.testSet()).testSet();
  }

  private boolean isClosed(Bridge bridge) throws JournalException {
    return bridge.journal().find(TestSetEvent.closedId(wishes.testSet())).isPresent();
  }

  private int watch(Bridge bridge, Telling telling, CountDownLatch ended) throws Exception {
    boolean told = false;
    while (!ended.await(500, TimeUnit.MILLISECONDS)) {
      if (!told && isClosed(bridge)) {
        told = true;
        telling.close();
        out.println();
        out.println(SummaryTable.of(testSet(bridge)));
        out.println("The page stays up. Stop the demo with Ctrl-C.");
      }
    }
    return Tallywire.OK;
  }

  private void stop(Bridge bridge, Telling telling, CountDownLatch ended) {
    telling.close();
    bridge.close();
    ended.countDown();
  }
}
