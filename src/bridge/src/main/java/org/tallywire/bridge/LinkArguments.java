package org.tallywire.bridge;

import java.math.BigDecimal;
import java.nio.file.Path;
import java.time.Duration;
import java.util.Optional;
import java.util.regex.Matcher;
import java.util.regex.Pattern;
import org.jspecify.annotations.Nullable;
import org.tallywire.api.ControlLines;
import org.tallywire.api.LinkAddress;
import org.tallywire.api.SerialSettings;
import picocli.CommandLine.Model.CommandSpec;
import picocli.CommandLine.Option;
import picocli.CommandLine.ParameterException;
import picocli.CommandLine.Spec;

/** A link of any kind on the command line, with the words of a station in a configuration. */
final class LinkArguments {

  private static final int MOST_PORT = 65_535;
  private static final Pattern URL = Pattern.compile("(tcp|listen|rfc2217)://(.+):([0-9]{1,5})");

  @Option(
      names = "--port",
      paramLabel = "PORT",
      description =
          "a serial port, tcp://HOST:PORT, listen://HOST:PORT (the instrument calls there) or"
              + " rfc2217://HOST:PORT (a serial port that a server lends)")
  private String port = "";

  @Option(
      names = "--program",
      paramLabel = "WORDS",
      description = "a program that speaks for the instrument, with its arguments, in quotes")
  private String program = "";

  @Option(
      names = "--baud",
      paramLabel = "N",
      description = "speed (default: the driver's, or ${DEFAULT-VALUE})")
  private int baud = 9600;

  @Option(names = "--data-bits", paramLabel = "N", description = "5 to 8 (default 8)")
  private int dataBits = 8;

  @Option(names = "--parity", description = "none, even, odd, mark or space (default none)")
  private SerialSettings.Parity parity = SerialSettings.Parity.NONE;

  @Option(names = "--stop-bits", paramLabel = "N", description = "1, 1.5 or 2 (default 1)")
  private String stopBits = "1";

  @Option(
      names = "--flow",
      paramLabel = "HOW",
      description = "none, rts-cts, dtr-dsr or xon-xoff (default none)")
  private String flow = "none";

  @Option(
      names = "--dtr",
      paramLabel = "on|off",
      description = "the line DTR while the port is open (default on)")
  private String dtr = "on";

  @Option(
      names = "--rts",
      paramLabel = "on|off",
      description = "the line RTS while the port is open (default on)")
  private String rts = "on";

  @Option(
      names = "--settle",
      paramLabel = "S",
      description = "seconds after the opening in which what comes is no data (default 0)")
  private BigDecimal settle = BigDecimal.ZERO;

  @Spec(Spec.Target.MIXEE)
  private @Nullable CommandSpec spec;

  /** Returns where it leads, at the settings given here, or else at these. */
  LinkAddress address(SerialSettings usual, ControlLines usualLines) {
    if (!isGiven("--baud")) {
      baud = usual.baud();
    }
    dataBits = isGiven("--data-bits") ? dataBits : usual.dataBits();
    parity = isGiven("--parity") ? parity : usual.parity();
    stopBits = isGiven("--stop-bits") ? stopBits : usual.stopBits().toString();
    flow = isGiven("--flow") ? flow : usual.flow().word();
    dtr = isGiven("--dtr") ? dtr : usualLines.dtr() ? "on" : "off";
    rts = isGiven("--rts") ? rts : usualLines.rts() ? "on" : "off";
    settle = isGiven("--settle") ? settle : BigDecimal.valueOf(usualLines.settle().toMillis(), 3);
    return address();
  }

  private boolean isGiven(String option) {
    CommandSpec of = spec;
    return of != null && of.commandLine().getParseResult().hasMatchedOption(option);
  }

  /** Tells whether nothing was said of where it leads. */
  boolean isEmpty() {
    return port.isEmpty() && program.isEmpty();
  }

  /** Returns where it leads; what is not right ends the command with a sentence. */
  LinkAddress address() {
    require(
        port.isEmpty() != program.isEmpty(),
        "say where, once: --port with a serial port, tcp://, listen:// or rfc2217://, or --program");
    try {
      return program.isEmpty() ? toPort() : program(program);
    } catch (IllegalArgumentException e) {
      throw wrong(String.valueOf(e.getMessage()));
    }
  }

  /** Returns a program that is started in the folder where this one was. */
  static LinkAddress.Program program(String words) {
    return new LinkAddress.Program(CommandWords.split(words), Path.of("").toAbsolutePath());
  }

  private LinkAddress toPort() {
    if (!port.contains("://")) {
      require(
          !port.matches("[^/\\\\]+:[0-9]+"), "for TCP write tcp://%s as the port".formatted(port));
      return new LinkAddress.Serial(port, settings(), lines());
    }
    Matcher url = URL.matcher(port);
    require(url.matches(), port + " is not of the form tcp://HOST:PORT");
    int number = Integer.parseInt(url.group(3));
    require(
        number >= 1 && number <= MOST_PORT, "%d: a port is 1 to %d".formatted(number, MOST_PORT));
    String host = url.group(2);
    return switch (url.group(1)) {
      case "tcp" -> new LinkAddress.Tcp(host, number);
      case "listen" -> new LinkAddress.TcpListener(host, number);
      default -> new LinkAddress.NetworkSerial(host, number, settings(), lines());
    };
  }

  private SerialSettings settings() {
    return new SerialSettings(baud, dataBits, parity, stop(), flow());
  }

  private SerialSettings.StopBits stop() {
    for (SerialSettings.StopBits each : SerialSettings.StopBits.values()) {
      if (each.toString().equals(stopBits)) {
        return each;
      }
    }
    throw wrong("--stop-bits: 1, 1.5 or 2");
  }

  private SerialSettings.FlowControl flow() {
    for (SerialSettings.FlowControl each : SerialSettings.FlowControl.values()) {
      if (each.word().equals(flow)) {
        return each;
      }
    }
    throw wrong("--flow: none, rts-cts, dtr-dsr or xon-xoff");
  }

  private ControlLines lines() {
    return new ControlLines(
        isOn("--dtr", dtr), isOn("--rts", rts), seconds("--settle", Optional.of(settle)));
  }

  private boolean isOn(String option, String word) {
    require(word.equals("on") || word.equals("off"), option + ": on or off");
    return word.equals("on");
  }

  /** Returns so many seconds, zero if not given; up to a day. */
  Duration seconds(String option, Optional<BigDecimal> seconds) {
    BigDecimal given = seconds.orElse(BigDecimal.ZERO);
    require(
        given.signum() >= 0 && given.compareTo(BigDecimal.valueOf(86_400)) <= 0,
        option + ": 0 to 86400 seconds");
    return Duration.ofMillis(given.movePointRight(3).longValue());
  }

  void require(boolean right, String sentence) {
    if (!right) {
      throw wrong(sentence);
    }
  }

  private RuntimeException wrong(String sentence) {
    CommandSpec of = spec;
    return of == null
        ? new IllegalStateException(sentence)
        : new ParameterException(of.commandLine(), sentence);
  }
}
