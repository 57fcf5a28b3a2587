package org.tallywire.bridge;

import java.io.PrintWriter;
import java.nio.file.Path;
import java.time.Duration;
import java.util.List;
import java.util.concurrent.Callable;
import java.util.function.Consumer;
import org.tallywire.api.Link;
import org.tallywire.api.LinkAddress;
import org.tallywire.api.LinkException;
import org.tallywire.api.TimeSource;
import org.tallywire.conform.BridgeConformance;
import org.tallywire.conform.Report;
import org.tallywire.link.Links;
import picocli.CommandLine.Command;
import picocli.CommandLine.Mixin;
import picocli.CommandLine.Option;
import picocli.CommandLine.Parameters;

/** {@code tallywire conform bridge}: plays a troublesome instrument against any bridge. */
@Command(
    name = "bridge",
    description = {
      "Holds a bridge against the rules of the line protocol: plays an instrument that is slow,"
          + " damaged, restarted and wrong, and prints one line a rule.",
      "Takes half a minute. The bridge records readings of invented instruments: give it a data"
          + " folder of its own. It stops where a conversation without any fault fails."
    },
    exitCodeListHeading = ConformCommand.EXIT_CODES,
    exitCodeList = {
      ConformCommand.EXIT_KEPT,
      ConformCommand.EXIT_BROKEN,
      "2:no bridge came, the port cannot be opened, or the command line is wrong",
      "3:not used for a bridge",
      ConformCommand.EXIT_FAULT
    },
    mixinStandardHelpOptions = true)
final class ConformBridgeCommand implements Callable<Integer> {

  @Parameters(
      paramLabel = "ADDRESS",
      arity = "0..1",
      description = "a serial port, or tcp://127.0.0.1:PORT to listen at (PORT 0: any free one)")
  private String address = "";

  @Mixin private ConformArguments arguments = new ConformArguments();

  @Option(
      names = "--only",
      paramLabel = "WORDS",
      description =
          "play only scenarios with these words in their names, or of this rule (L-27); the"
              + " conversation without any fault always comes first")
  private List<String> only = List.of();

  @Option(names = "--list", description = "print the scenarios with their rules, and play none")
  private boolean list;

  @Option(
      names = "--wait",
      paramLabel = "S",
      description = "how many seconds to wait for the bridge to come (default ${DEFAULT-VALUE})")
  private int seconds = 60;

  @Override
  public Integer call() throws Exception {
    for (String words : only) {
      arguments.require(
          !BridgeConformance.names(List.of(words)).isEmpty(),
          "--only: no scenario has \"%s\" in its name or its rules; --list prints them all"
              .formatted(words));
    }
    if (list) {
      BridgeConformance.names(only).forEach(System.out::println);
      return Tallywire.OK;
    }
    LinkAddress at = arguments.address(address, 0);
    arguments.require(seconds >= 1, "--wait: 1 or more");
    return arguments.within((scratch, lines) -> play(at, scratch, lines));
  }

  private int play(LinkAddress at, Path scratch, PrintWriter lines) {
    try {
      return at instanceof LinkAddress.Serial serial
          ? overSerial(serial, new Links(scratch), lines)
          : overTcp((LinkAddress.Tcp) at, lines);
    } catch (LinkException e) {
      System.err.println(Visible.text(String.valueOf(e.getMessage())));
      return Tallywire.SETUP;
    }
  }

  private int overTcp(LinkAddress.Tcp at, PrintWriter lines) throws LinkException {
    try (BridgeUnderTest bridge = BridgeUnderTest.listen(at.host(), at.port())) {
      String invitation = "Point your bridge at tcp://%s:%d".formatted(at.host(), bridge.port());
      return examine(bridge, 0, invitation, lines, Runtime.getRuntime()::addShutdownHook);
    }
  }

  private int overSerial(LinkAddress.Serial port, Links links, PrintWriter lines)
      throws LinkException {
    return examine(
        new BridgeConformance.Source() {
          @Override
          public Link next(Duration within) throws LinkException {
            return links.open(port);
          }

          @Override
          public boolean showsClosing() {
            return false;
          }
        },
        port.settings().baud(),
        "Connect your bridge to %s".formatted(port),
        lines,
        links::atExit);
  }

  private int examine(
      BridgeConformance.Source source,
      int speed,
      String invitation,
      PrintWriter lines,
      Consumer<Thread> atExit)
      throws LinkException {
    BridgeConformance conformance =
        new BridgeConformance(
            source,
            TimeSource.system(),
            new BridgeConformance.Options(speed, only, Duration.ofSeconds(seconds)),
            words -> System.out.println(Visible.text(words)),
            line -> lines.println(Visible.text(line)));
    StoppedRun stopped = new StoppedRun(() -> tell(conformance.soFar()));
    atExit.accept(stopped.hook()); // first: people may stop the run as soon as it says something
    System.out.printf("%s, driver line, and start it; waiting for it.%n", invitation);
    try {
      Report report = conformance.run();
      if (stopped.isStopped()) {
        return Tallywire.SETUP; // the hook tells it
      }
      System.out.println();
      tell(report);
      return report.isConforming() ? Tallywire.OK : ConformCommand.BROKEN;
    } finally {
      stopped.over();
    }
  }

  private static void tell(Report report) {
    report.lines().forEach(line -> System.out.println(Visible.text(line)));
  }
}
