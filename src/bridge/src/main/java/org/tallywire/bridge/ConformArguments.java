package org.tallywire.bridge;

import java.io.IOException;
import java.io.PrintWriter;
import java.io.Writer;
import java.nio.file.Files;
import java.nio.file.Path;
import java.util.Optional;
import java.util.regex.Matcher;
import java.util.regex.Pattern;
import org.jspecify.annotations.Nullable;
import org.tallywire.api.LinkAddress;
import picocli.CommandLine.Model.CommandSpec;
import picocli.CommandLine.Option;
import picocli.CommandLine.ParameterException;
import picocli.CommandLine.Spec;

/** What both sides of {@code conform} take on the command line, and a scratch folder for a run. */
final class ConformArguments {

  private static final int USUAL_BAUD = 115_200;
  private static final int LEAST_BAUD = 300;
  private static final int MOST_PORT = 65_535;
  private static final Pattern TCP = Pattern.compile("tcp://(.+):([0-9]+)");
  private static final Pattern HOST_AND_PORT = Pattern.compile("[^/\\\\]+:[0-9]+");

  @Option(
      names = "--baud",
      paramLabel = "N",
      description = "speed of a serial port (default " + USUAL_BAUD + ")")
  private Optional<Integer> baud = Optional.empty();

  @Option(
      names = "--transcript",
      paramLabel = "FILE",
      description = "write all lines said and heard into this file, with the seconds")
  private Optional<Path> transcript = Optional.empty();

  @Spec(Spec.Target.MIXEE)
  private @Nullable CommandSpec spec;

  /** What is done in a run. */
  interface Run {

    /**
     * Does it; returns the exit code.
     *
     * @param scratch a folder that is deleted when the process ends, however it ends
     * @param transcript goes to the file that was asked for, or nowhere
     */
    int run(Path scratch, PrintWriter transcript) throws Exception;
  }

  /** Ends the command with a sentence if what people wrote is not right. */
  void require(boolean right, String sentence) {
    if (!right && spec != null) {
      throw new ParameterException(spec.commandLine(), sentence);
    }
  }

  /**
   * Returns where an address leads.
   *
   * @param leastPort 0 where any free port may be asked for, else 1
   */
  LinkAddress address(String address, int leastPort) {
    require(!address.isEmpty(), "say where: a serial port, or tcp://HOST:PORT");
    if (!address.startsWith("tcp://")) {
      require(
          !HOST_AND_PORT.matcher(address).matches(), "for TCP write tcp://%s".formatted(address));
      require(baud.orElse(USUAL_BAUD) >= LEAST_BAUD, "--baud: %d or more".formatted(LEAST_BAUD));
      return LinkAddress.Serial.at(address, baud.orElse(USUAL_BAUD));
    }
    require(baud.isEmpty(), "--baud is for a serial port; TCP has no speed");
    Matcher tcp = TCP.matcher(address);
    require(tcp.matches(), address + " is not of the form tcp://HOST:PORT");
    String digits = tcp.group(2);
    int port = digits.length() > 5 ? Integer.MAX_VALUE : Integer.parseInt(digits);
    require(
        port >= leastPort && port <= MOST_PORT,
        "%s: a port is 1 to %d%s"
            .formatted(digits, MOST_PORT, leastPort == 0 ? ", or 0 for any free one" : ""));
    return new LinkAddress.Tcp(tcp.group(1), port);
  }

  /** Runs with a scratch folder, in which the log goes too, and the transcript opened before. */
  int within(Run run) throws Exception {
    Path scratch = Scratch.forThisRun("tallywire-conform");
    try (PrintWriter lines = new PrintWriter(transcript(), true)) {
      return run.run(scratch, lines);
    }
  }

  private Writer transcript() {
    if (transcript.isEmpty()) {
      return Writer.nullWriter();
    }
    try {
      return Files.newBufferedWriter(transcript.get());
    } catch (IOException e) {
      require(false, "--transcript: %s cannot be written".formatted(transcript.get()));
      throw new IllegalStateException(e);
    }
  }
}
