package org.tallywire.bridge;

import java.io.IOException;
import java.nio.file.Files;
import java.nio.file.Path;
import java.time.Duration;
import java.util.List;
import java.util.Optional;
import java.util.Random;
import java.util.concurrent.Callable;
import java.util.regex.Matcher;
import java.util.regex.Pattern;
import java.util.stream.Stream;
import org.jspecify.annotations.Nullable;
import org.tallywire.api.LinkAddress;
import org.tallywire.api.LinkException;
import org.tallywire.api.TimeSource;
import org.tallywire.conform.InstrumentConformance;
import org.tallywire.conform.InstrumentOptions;
import org.tallywire.conform.Report;
import org.tallywire.link.Links;
import picocli.CommandLine.Command;
import picocli.CommandLine.Model.CommandSpec;
import picocli.CommandLine.Option;
import picocli.CommandLine.ParameterException;
import picocli.CommandLine.Parameters;
import picocli.CommandLine.Spec;

/** {@code tallywire conform instrument}: plays a strict bridge against any instrument. */
@Command(
    name = "instrument",
    description = {
      "Holds an instrument against the rules of the line protocol: plays a strict bridge, says right"
          + " and wrong lines and prints one line a rule.",
      "Takes half a minute, or longer with long beats. It acknowledges one or two of the readings"
          + " that the instrument holds, so that it may forget them: use it on a bench, not in"
          + " service."
    },
    exitCodeListHeading = "%nExit codes:%n",
    exitCodeList = {
      "0:no rule was found broken",
      "1:a rule is broken",
      "2:the port cannot be opened, or the command line is wrong"
    },
    mixinStandardHelpOptions = true)
final class ConformInstrumentCommand implements Callable<Integer> {

  private static final Pattern TCP = Pattern.compile("tcp://(.+):([0-9]{1,5})");
  private static final int MOST_PORT = 65_535;
  private static final int MOST_READINGS = 64;

  @Parameters(paramLabel = "ADDRESS", description = "a serial port, or tcp://HOST:PORT")
  private String address = "";

  @Option(
      names = "--baud",
      paramLabel = "N",
      description = "speed of a serial port (default ${DEFAULT-VALUE})")
  private int baud = 115_200;

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
      names = "--transcript",
      paramLabel = "FILE",
      description = "write all lines said and heard into this file")
  private Optional<Path> transcript = Optional.empty();

  @Spec private @Nullable CommandSpec spec;

  @Override
  public Integer call() throws Exception {
    LinkAddress to = address();
    require(readings >= 1 && readings <= MOST_READINGS, "--readings: 1 to 64");
    require(wait >= 1, "--wait: 1 or more");
    require(baud >= 300, "--baud: 300 or more");
    Path scratch = Files.createTempDirectory("tallywire-conform");
    System.setProperty("tallywire.log", scratch.resolve("log").toString());
    try {
      return examine(to, new Links(scratch));
    } finally {
      delete(scratch);
    }
  }

  private int examine(LinkAddress to, Links links) throws IOException {
    InstrumentConformance conformance =
        new InstrumentConformance(
            () -> links.open(to),
            TimeSource.system(),
            new InstrumentOptions(
                to instanceof LinkAddress.Tcp ? 0 : baud,
                readings,
                Duration.ofSeconds(wait),
                restart,
                seed.orElseGet(() -> new Random().nextLong(1_000_000))),
            words -> System.out.println(Visible.text(words)));
    System.out.printf("Conformance of the instrument at %s%n", Visible.text(to.toString()));
    try {
      Report report = conformance.run();
      System.out.println();
      report.lines().forEach(line -> System.out.println(Visible.text(line)));
      return report.isConforming() ? Tallywire.OK : ConformCommand.BROKEN;
    } catch (LinkException e) {
      System.err.println(Visible.text(String.valueOf(e.getMessage())));
      return Tallywire.SETUP;
    } finally {
      if (transcript.isPresent()) {
        Files.write(transcript.get(), conformance.transcript());
      }
    }
  }

  private LinkAddress address() {
    if (!address.startsWith("tcp://")) {
      return LinkAddress.Serial.at(address, baud);
    }
    Matcher tcp = TCP.matcher(address);
    int port = tcp.matches() ? Integer.parseInt(tcp.group(2)) : 0;
    require(port >= 1 && port <= MOST_PORT, address + " is not of the form tcp://HOST:PORT");
    return new LinkAddress.Tcp(tcp.group(1), port);
  }

  private void require(boolean right, String rule) {
    if (!right && spec != null) {
      throw new ParameterException(spec.commandLine(), rule);
    }
  }

  private static void delete(Path folder) throws IOException {
    try (Stream<Path> files = Files.walk(folder)) {
      List<Path> deepestFirst = files.sorted((a, b) -> b.compareTo(a)).toList();
      for (Path file : deepestFirst) {
        Files.deleteIfExists(file);
      }
    }
  }
}
