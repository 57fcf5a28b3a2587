package org.tallywire.bridge;

import java.io.PrintWriter;
import java.time.Duration;
import java.util.List;
import java.util.Optional;
import java.util.Random;
import java.util.concurrent.Callable;
import java.util.function.Consumer;
import org.tallywire.api.LinkAddress;
import org.tallywire.api.LinkException;
import org.tallywire.api.TimeSource;
import org.tallywire.conform.InstrumentConformance;
import org.tallywire.conform.InstrumentOptions;
import org.tallywire.conform.Opener;
import org.tallywire.conform.Report;
import org.tallywire.link.Links;
import picocli.CommandLine.Command;
import picocli.CommandLine.Mixin;
import picocli.CommandLine.Option;
import picocli.CommandLine.Parameters;

/** {@code tallywire conform instrument}: plays a strict bridge against any instrument. */
@Command(
    name = "instrument",
    description = {
      "Holds an instrument against the rules of the line protocol: plays a strict bridge, says right"
          + " and wrong lines and prints one line a rule.",
      "Takes half a minute, or longer with long beats. It acknowledges up to five of the readings"
          + " that the instrument holds, so that it may forget them: use it on a bench, not in"
          + " service."
    },
    exitCodeListHeading = ConformCommand.EXIT_CODES,
    exitCodeList = {
      ConformCommand.EXIT_KEPT,
      ConformCommand.EXIT_BROKEN,
      "2:the port cannot be opened, or the command line is wrong",
      ConformCommand.EXIT_TOO_LITTLE,
      ConformCommand.EXIT_FAULT
    },
    mixinStandardHelpOptions = true)
final class ConformInstrumentCommand implements Callable<Integer> {

  private static final int MOST_READINGS = 64;
  private static final Duration LONGEST_END = Duration.ofSeconds(3);

  @Parameters(
      arity = "0..1",
      paramLabel = "ADDRESS",
      description = "a serial port, or tcp://HOST:PORT")
  private String address = "";

  @Option(
      names = "--program",
      paramLabel = "WORDS",
      description =
          "a program that speaks for the instrument over its standard input and output, with its"
              + " arguments, in quotes: --program 'python3 meter.py'")
  private String program = "";

  @Mixin private ConformArguments arguments = new ConformArguments();

  @Option(
      names = "--readings",
      paramLabel = "N",
      description = "how many readings to wait for, 1 to 64 (default ${DEFAULT-VALUE})")
  private int readings = 5;

  @Option(
      names = "--wait",
      paramLabel = "S",
      description =
          "how many seconds to wait for readings, and for a restart (default ${DEFAULT-VALUE})")
  private int wait = 60;

  @Option(names = "--restart", description = "ask for the instrument to be switched off and on")
  private boolean restart;

  @Option(
      names = "--seed",
      paramLabel = "N",
      description = "decides the garbage that is sent; random if left out")
  private Optional<Long> seed = Optional.empty();

  @Option(
      names = "--only",
      paramLabel = "WORDS",
      description = "make only checks with these words in their names, or of this rule (L-19)")
  private List<String> only = List.of();

  @Option(names = "--list", description = "list the checks and the rules they cite, and end")
  private boolean list;

  @Override
  public Integer call() throws Exception {
    arguments.require(readings >= 1 && readings <= MOST_READINGS, "--readings: 1 to 64");
    arguments.require(wait >= 1, "--wait: 1 or more");
    if (list) {
      return list();
    }
    arguments.require(
        address.isEmpty() || program.isEmpty(), "an address or --program, not both of them");
    LinkAddress to = program.isEmpty() ? arguments.address(address, 1) : program();
    return arguments.within((scratch, lines) -> examine(to, new Links(scratch), lines));
  }

  private int examine(LinkAddress to, Links links, PrintWriter lines) {
    if (to instanceof LinkAddress.Program run) {
      try (KeptProgram kept = new KeptProgram(links, run)) {
        return examine(to, links, kept, lines);
      }
    }
    return examine(to, links, () -> links.open(to), lines);
  }

  private LinkAddress program() {
    try {
      return LinkArguments.program(program);
    } catch (IllegalArgumentException e) {
      arguments.require(false, "--program: " + e.getMessage());
      throw e;
    }
  }

  private int list() {
    InstrumentConformance conformance =
        conformance(
            () -> {
              throw new IllegalStateException("nothing is opened");
            },
            0,
            line -> {});
    conformance.names().forEach(System.out::println);
    return Tallywire.OK;
  }

  private InstrumentConformance conformance(Opener opener, int baud, Consumer<String> said) {
    InstrumentConformance conformance =
        new InstrumentConformance(
            opener,
            TimeSource.system(),
            new InstrumentOptions(
                baud,
                readings,
                Duration.ofSeconds(wait),
                restart,
                seed.orElseGet(() -> new Random().nextLong(1_000_000)),
                only),
            words -> System.out.println(Visible.text(words)),
            said);
    arguments.require(!conformance.names().isEmpty(), "--only: no check has these words");
    return conformance;
  }

  private int examine(LinkAddress to, Links links, Opener opener, PrintWriter lines) {
    int baud = to instanceof LinkAddress.Serial serial ? serial.settings().baud() : 0;
    InstrumentConformance conformance =
        conformance(opener, baud, line -> lines.println(Visible.text(line)));
    // closed last: the process waits until the report of what was found is told
    try (CtrlC ctrlC = new CtrlC(LONGEST_END)) {
      return run(conformance, ctrlC, to, links, lines);
    }
  }

  private static int run(
      InstrumentConformance conformance,
      CtrlC ctrlC,
      LinkAddress to,
      Links links,
      PrintWriter lines) {
    try {
      ctrlC.listen(links, to, conformance::stop, "stopped; the report could not be made in time");
      System.out.printf("Conformance of the instrument at %s%n", Visible.text(to.toString()));
      return tell(conformance, conformance.run());
    } catch (LinkException e) {
      System.err.println(Visible.text(String.valueOf(e.getMessage())));
      return Tallywire.SETUP;
    } catch (LinkageError e) {
      System.err.println(Visible.text("the serial library cannot be loaded: " + e.getMessage()));
      return Tallywire.SETUP;
    } finally {
      lines.flush();
    }
  }

  private static int tell(InstrumentConformance conformance, Report report) {
    System.out.println();
    if (conformance.isStopped()) {
      System.out.println("stopped; so far:");
    }
    report.lines().forEach(line -> System.out.println(Visible.text(line)));
    System.out.flush();
    if (!report.isConforming()) {
      return ConformCommand.BROKEN;
    }
    return conformance.isTooLittle() ? ConformCommand.TOO_LITTLE : Tallywire.OK;
  }
}
