package org.tallywire.bridge;

import java.io.IOException;
import java.io.PrintWriter;
import java.io.Writer;
import java.nio.file.Files;
import java.nio.file.Path;
import java.time.Duration;
import java.util.List;
import java.util.Optional;
import java.util.concurrent.Callable;
import java.util.regex.Matcher;
import java.util.regex.Pattern;
import java.util.stream.Stream;
import org.jspecify.annotations.Nullable;
import org.tallywire.api.Link;
import org.tallywire.api.LinkAddress;
import org.tallywire.api.LinkException;
import org.tallywire.api.TimeSource;
import org.tallywire.conform.BridgeConformance;
import org.tallywire.conform.Report;
import org.tallywire.link.Links;
import picocli.CommandLine.Command;
import picocli.CommandLine.Model.CommandSpec;
import picocli.CommandLine.Option;
import picocli.CommandLine.ParameterException;
import picocli.CommandLine.Parameters;
import picocli.CommandLine.Spec;

/** {@code tallywire conform bridge}: plays a troublesome instrument against any bridge. */
@Command(
    name = "bridge",
    description = {
      "Holds a bridge against the rules of the line protocol: plays an instrument that is slow,"
          + " damaged, restarted and wrong, and prints one line a rule.",
      "Takes half a minute. The bridge records readings of invented instruments: give it a data"
          + " folder of its own."
    },
    exitCodeListHeading = "%nExit codes:%n",
    exitCodeList = {
      "0:no rule was found broken",
      "1:a rule is broken",
      "2:no bridge came, the port cannot be opened, or the command line is wrong"
    },
    mixinStandardHelpOptions = true)
final class ConformBridgeCommand implements Callable<Integer> {

  private static final Pattern TCP = Pattern.compile("tcp://(.+):([0-9]{1,5})");
  private static final int MOST_PORT = 65_535;

  @Parameters(
      paramLabel = "ADDRESS",
      description = "a serial port, or tcp://127.0.0.1:PORT to listen at (PORT 0: any free one)")
  private String address = "";

  @Option(
      names = "--baud",
      paramLabel = "N",
      description = "speed of a serial port (default ${DEFAULT-VALUE})")
  private int baud = 115_200;

  @Option(
      names = "--only",
      paramLabel = "WORDS",
      description = "play only scenarios with these words in their names, or of this rule (L-27)")
  private List<String> only = List.of();

  @Option(
      names = "--wait",
      paramLabel = "S",
      description = "how many seconds to wait for the bridge to come (default ${DEFAULT-VALUE})")
  private int seconds = 60;

  @Option(
      names = "--transcript",
      paramLabel = "FILE",
      description = "write all lines said and heard into this file")
  private Optional<Path> transcript = Optional.empty();

  @Spec private @Nullable CommandSpec spec;

  @Override
  public Integer call() throws Exception {
    require(baud >= 300, "--baud: 300 or more");
    require(seconds >= 1, "--wait: 1 or more");
    Path scratch = Files.createTempDirectory("tallywire-conform");
    System.setProperty("tallywire.log", scratch.resolve("log").toString());
    try (PrintWriter lines =
        new PrintWriter(
            transcript.isPresent()
                ? Files.newBufferedWriter(transcript.get())
                : Writer.nullWriter())) {
      return address.startsWith("tcp://") ? overTcp(lines) : overSerial(lines, scratch);
    } catch (LinkException e) {
      System.err.println(Visible.text(String.valueOf(e.getMessage())));
      return Tallywire.SETUP;
    } finally {
      delete(scratch);
    }
  }

  private int overTcp(PrintWriter lines) throws LinkException {
    Matcher tcp = TCP.matcher(address);
    int port = tcp.matches() ? Integer.parseInt(tcp.group(2)) : -1;
    require(port >= 0 && port <= MOST_PORT, address + " is not of the form tcp://HOST:PORT");
    try (BridgeUnderTest bridge = BridgeUnderTest.listen(tcp.group(1), port)) {
      System.out.printf(
          "Point your bridge at tcp://%s:%d, driver line, and start it; waiting for it.%n",
          tcp.group(1), bridge.port());
      return examine(bridge, 0, lines);
    }
  }

  private int overSerial(PrintWriter lines, Path scratch) throws LinkException {
    Links links = new Links(scratch);
    LinkAddress port = LinkAddress.Serial.at(address, baud);
    System.out.printf(
        "Connect your bridge to %s, driver line, and start it; waiting for it.%n", port);
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
        baud,
        lines);
  }

  private int examine(BridgeConformance.Source source, int speed, PrintWriter lines)
      throws LinkException {
    BridgeConformance conformance =
        new BridgeConformance(
            source,
            TimeSource.system(),
            new BridgeConformance.Options(speed, only, Duration.ofSeconds(seconds)),
            words -> System.out.println(Visible.text(words)),
            line -> lines.println(Visible.text(line)));
    require(!conformance.names().isEmpty(), "--only: no scenario has these words");
    Report report = conformance.run();
    System.out.println();
    report.lines().forEach(line -> System.out.println(Visible.text(line)));
    return report.isConforming() ? Tallywire.OK : ConformCommand.BROKEN;
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
