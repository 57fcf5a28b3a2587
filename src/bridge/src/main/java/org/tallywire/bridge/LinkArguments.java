package org.tallywire.bridge;

import java.nio.file.Path;
import java.time.Duration;
import java.util.Arrays;
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
  private static final Duration MOMENT = Duration.ofMillis(1);
  private static final Duration DAY = Duration.ofDays(1);
  private static final Duration LONGEST_SETTLE = Duration.ofSeconds(60);
  private static final String USUAL = "default: the driver's; without a driver";
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

  @Option(names = "--baud", paramLabel = "N", description = "speed (" + USUAL + " 9600)")
  private Optional<Integer> baud = Optional.empty();

  @Option(names = "--data-bits", paramLabel = "N", description = "5 to 8 (" + USUAL + " 8)")
  private Optional<Integer> dataBits = Optional.empty();

  @Option(
      names = "--parity",
      paramLabel = "<parity>",
      description = "none, even, odd, mark or space (" + USUAL + " none)")
  private Optional<SerialSettings.Parity> parity = Optional.empty();

  @Option(names = "--stop-bits", paramLabel = "N", description = "1, 1.5 or 2 (" + USUAL + " 1)")
  private Optional<String> stopBits = Optional.empty();

  @Option(
      names = "--flow",
      paramLabel = "HOW",
      description = "none, rts-cts, dtr-dsr or xon-xoff (" + USUAL + " none)")
  private Optional<String> flow = Optional.empty();

  @Option(
      names = "--dtr",
      paramLabel = "on|off",
      description = "the line DTR while the port is open (" + USUAL + " on)")
  private Optional<String> dtr = Optional.empty();

  @Option(
      names = "--rts",
      paramLabel = "on|off",
      description = "the line RTS while the port is open (" + USUAL + " on)")
  private Optional<String> rts = Optional.empty();

  @Option(
      names = "--settle",
      paramLabel = "TIME",
      description =
          "how long after the opening what comes is no data, as 2 s or 500 ms; up to 60 s ("
              + USUAL
              + " 0 s)")
  private Optional<String> settle = Optional.empty();

  @Spec(Spec.Target.MIXEE)
  private @Nullable CommandSpec spec;

  /** Tells whether nothing was said of where it leads. */
  boolean isEmpty() {
    return port.isEmpty() && program.isEmpty();
  }

  /** Returns where it leads, a port without a word on them at the most usual settings. */
  LinkAddress address() {
    return address(SerialSettings.at(9_600), ControlLines.USUAL);
  }

  /**
   * Returns where it leads, at the settings given here, or else at these; what is not right ends
   * the command with a sentence.
   */
  LinkAddress address(SerialSettings usual, ControlLines usualLines) {
    require(
        port.isEmpty() != program.isEmpty(),
        "say where, once: --port with a serial port, tcp://, listen:// or rfc2217://, or --program");
    try {
      return program.isEmpty() ? toPort(usual, usualLines) : program(program);
    } catch (IllegalArgumentException e) {
      throw wrong(String.valueOf(e.getMessage()));
    }
  }

  /** Returns a program that is started in the folder where this one was. */
  static LinkAddress.Program program(String words) {
    return new LinkAddress.Program(CommandWords.split(words), Path.of("").toAbsolutePath());
  }

  private LinkAddress toPort(SerialSettings usual, ControlLines usualLines) {
    if (!port.contains("://")) {
      require(
          !port.matches("[^/\\\\]+:[0-9]+"), "for TCP write tcp://%s as the port".formatted(port));
      return new LinkAddress.Serial(port, settings(usual), lines(usualLines));
    }
    Matcher url = URL.matcher(port);
    require(url.matches(), port + " is not of the form tcp://HOST:PORT");
    int number = Integer.parseInt(url.group(3));
    require(
        number >= 1 && number <= MOST_PORT, "%d: a port is 1 to %d".formatted(number, MOST_PORT));
    String host = url.group(2);
    return switch (url.group(1)) {
      case "tcp" -> new LinkAddress.Tcp(host, number, lines(usualLines).settle());
      case "listen" -> new LinkAddress.TcpListener(host, number, lines(usualLines).settle());
      default -> new LinkAddress.NetworkSerial(host, number, settings(usual), lines(usualLines));
    };
  }

  private SerialSettings settings(SerialSettings usual) {
    return new SerialSettings(
        baud.orElse(usual.baud()),
        dataBits.orElse(usual.dataBits()),
        parity.orElse(usual.parity()),
        stopBits.map(this::stop).orElse(usual.stopBits()),
        flow.map(this::flow).orElse(usual.flow()));
  }

  private SerialSettings.StopBits stop(String text) {
    return Arrays.stream(SerialSettings.StopBits.values())
        .filter(each -> each.toString().equals(text))
        .findFirst()
        .orElseThrow(() -> wrong("--stop-bits: 1, 1.5 or 2"));
  }

  private SerialSettings.FlowControl flow(String word) {
    return Arrays.stream(SerialSettings.FlowControl.values())
        .filter(each -> each.word().equals(word))
        .findFirst()
        .orElseThrow(() -> wrong("--flow: none, rts-cts, dtr-dsr or xon-xoff"));
  }

  private ControlLines lines(ControlLines usual) {
    return new ControlLines(
        dtr.map(word -> isOn("--dtr", word)).orElse(usual.dtr()),
        rts.map(word -> isOn("--rts", word)).orElse(usual.rts()),
        settle
            .map(text -> time("--settle", text, Duration.ZERO, LONGEST_SETTLE))
            .orElse(usual.settle()));
  }

  private boolean isOn(String option, String word) {
    return ControlLines.isOn(word)
        .orElseThrow(
            () -> wrong("%s: \"%s\"; %s".formatted(option, word, ControlLines.instead(word))));
  }

  /** Returns a time of more than nothing and up to a day. */
  Duration time(String option, String text) {
    return time(option, text, MOMENT, DAY);
  }

  /** Returns a time as it is written in files, or a number of seconds. */
  Duration time(String option, String text, Duration from, Duration to) {
    return Durations.orSeconds(text)
        .filter(time -> time.compareTo(from) >= 0 && time.compareTo(to) <= 0)
        .orElseThrow(
            () ->
                wrong(
                    "%s: \"%s\" is no time from %s to %s; write for example '2 s', '500 ms' or 2, which are seconds"
                        .formatted(option, text, Durations.written(from), Durations.written(to))));
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
