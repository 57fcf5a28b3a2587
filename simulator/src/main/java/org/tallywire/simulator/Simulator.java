package org.tallywire.simulator;

import java.io.IOException;
import java.nio.file.Path;
import java.security.SecureRandom;
import java.time.Duration;
import java.time.InstantSource;
import java.util.ArrayList;
import java.util.HexFormat;
import java.util.Iterator;
import java.util.List;
import java.util.Optional;
import java.util.concurrent.Callable;
import java.util.concurrent.CopyOnWriteArrayList;
import java.util.concurrent.CountDownLatch;
import java.util.concurrent.TimeUnit;
import java.util.stream.Stream;
import org.jspecify.annotations.Nullable;
import org.tallywire.simulator.face.InstrumentClock;
import org.tallywire.simulator.face.LineFace;
import org.tallywire.simulator.face.Store;
import org.tallywire.simulator.scenario.Fault;
import org.tallywire.simulator.scenario.Scenario;
import org.tallywire.simulator.tester.TestRun;
import org.tallywire.simulator.wire.PtyWire;
import org.tallywire.simulator.wire.TcpWire;
import picocli.CommandLine;
import picocli.CommandLine.ArgGroup;
import picocli.CommandLine.Command;
import picocli.CommandLine.Model.CommandSpec;
import picocli.CommandLine.Option;
import picocli.CommandLine.ParameterException;
import picocli.CommandLine.Spec;

/** The command: starts pretend transformer testers and keeps them alive until it is told to end. */
@Command(
    name = "simulator",
    version = "simulator 0.1.0",
    mixinStandardHelpOptions = true,
    sortOptions = false,
    description = {
      "A pretend transformer tester (or many), speaking the Tallywire line protocol.",
      "On standard output it prints \"ready SERIAL pty PATH\" or \"ready SERIAL tcp HOST:PORT\""
          + " for each instrument, and before it \"planted SERIAL FAULT WINDINGS PHASE\" if its unit"
          + " has a fault; remarks for people go to standard error."
    },
    exitCodeListHeading = "%nExit codes:%n",
    exitCodeList = {
      "0:ended as asked",
      "2:the command line is wrong",
      "4:no pseudo-terminal or TCP port can be had"
    })
final class Simulator implements Callable<Integer> {

  static final int EXIT_NO_WIRE = 4;

  private static final int MOST_INSTRUMENTS = 1000;
  private static final long MOST_SEED = 999_999_999;
  private static final int MOST_STORE = 1_000_000_000;
  private static final Duration UNPLUGGED = Duration.ofSeconds(2);
  private static final int BOOT_BYTES = 8;
  private static final String BOOT_ID = "[A-Za-z0-9_-]{1,32}";

  static final class WireChoice {
    @Option(names = "--pty", description = "Speak at a pseudo-terminal each (default).")
    boolean pty;

    @Option(
        names = "--tcp",
        paramLabel = "PORT",
        description =
            "Speak over TCP on 127.0.0.1 at this port and, for more instruments, the next ones;"
                + " 0 takes any that are free.")
    int tcp = -1;
  }

  @ArgGroup WireChoice choice = new WireChoice();

  @Option(
      names = "--instruments",
      paramLabel = "N",
      defaultValue = "1",
      description = "How many instruments, 1 to 1000 (default ${DEFAULT-VALUE}).")
  int instruments;

  @Option(
      names = "--seed",
      paramLabel = "S",
      defaultValue = "1",
      description =
          "Decides every reading, and the serial number; further instruments take S+1, S+2, ..."
              + " (default ${DEFAULT-VALUE}).")
  long seed;

  @Option(
      names = "--fault",
      defaultValue = "none",
      description =
          "Fault of the transformer under test: ${COMPLETION-CANDIDATES}"
              + " (default ${DEFAULT-VALUE}).",
      completionCandidates = FaultWords.class,
      converter = FaultWord.class)
  Fault.Kind fault = Fault.Kind.NONE;

  @Option(
      names = "--pace",
      paramLabel = "X",
      defaultValue = "1",
      description =
          "How many times faster than in real life it measures (default ${DEFAULT-VALUE}: 0.7 s a"
              + " ratio, 1.5 s a resistance). The line speed stays 115200 baud.")
  double pace;

  @Option(
      names = "--start-now",
      description = "Measure at once, not only after readings were first asked for.")
  boolean startNow;

  @Option(
      names = "--boot",
      paramLabel = "ID",
      description =
          "Boot id instead of a random one; with several instruments -1, -2, ... is appended. An id"
              + " must never be used twice.")
  Optional<String> boot = Optional.empty();

  @Option(
      names = "--store",
      paramLabel = "N",
      defaultValue = "500",
      description = "How many readings an instrument can hold (default ${DEFAULT-VALUE}).")
  int store;

  @Option(
      names = "--beat",
      paramLabel = "MS",
      defaultValue = "2000",
      description =
          "Heart-beat interval in milliseconds, 100 to 600000 (default ${DEFAULT-VALUE}).")
  int beat;

  @Option(
      names = "--clock",
      paramLabel = "QUALITY",
      defaultValue = "free",
      description =
          "What the instrument says of its clock: ${COMPLETION-CANDIDATES} (default"
              + " ${DEFAULT-VALUE}). relative counts from its start.",
      converter = ClockWord.class)
  InstrumentClock.Quality clock = InstrumentClock.Quality.FREE;

  @Option(
      names = "--link",
      paramLabel = "PATH",
      description =
          "Keep a symbolic link to the pseudo-terminal here while it is plugged in; with several"
              + " instruments -1, -2, ... is appended.")
  Optional<Path> link = Optional.empty();

  @Option(
      names = "--noise",
      description = "Send random bytes before the first line and now and then between lines.")
  boolean noise;

  @Option(
      names = "--unplug-after",
      paramLabel = "K",
      defaultValue = "0",
      description =
          "Pull the cable out in the middle of reading K's line; plug it in again 2 s later.")
  long unplugAfter;

  @Option(
      names = "--until-stdin-ends",
      description = "End when standard input ends, as it does when the parent process dies.")
  boolean untilStdinEnds;

  @Spec @Nullable CommandSpec spec;

  private final CountDownLatch ended = new CountDownLatch(1);
  private final List<Instrument> running = new CopyOnWriteArrayList<>();

  /** Offers the words of {@link Fault.Kind}. */
  static final class FaultWords implements Iterable<String> {
    @Override
    public Iterator<String> iterator() {
      return Stream.of(Fault.Kind.values()).map(Fault.Kind::toString).iterator();
    }
  }

  /** Reads a word of {@link Fault.Kind}. */
  static final class FaultWord implements CommandLine.ITypeConverter<Fault.Kind> {
    @Override
    public Fault.Kind convert(String word) {
      return oneOf(Fault.Kind.values(), word);
    }
  }

  /** Reads a word of {@link InstrumentClock.Quality}. */
  static final class ClockWord implements CommandLine.ITypeConverter<InstrumentClock.Quality> {
    @Override
    public InstrumentClock.Quality convert(String word) {
      return oneOf(InstrumentClock.Quality.values(), word);
    }
  }

  private static <T> T oneOf(T[] choices, String word) {
    return Stream.of(choices)
        .filter(choice -> choice.toString().equals(word))
        .findFirst()
        .orElseThrow(
            () ->
                new CommandLine.TypeConversionException(
                    "\"%s\" is not one of %s".formatted(word, List.of(choices))));
  }

  /** Runs the command and ends the process with its exit code. */
  public static void main(String[] arguments) {
    System.exit(new CommandLine(new Simulator()).execute(arguments));
  }

  @Override
  public Integer call() throws InterruptedException {
    refuseNonsense();
    Runtime.getRuntime().addShutdownHook(new Thread(this::stopAll, "stop-all"));
    try {
      for (int index = 0; index < instruments; index++) {
        Instrument instrument = instrument(index);
        instrument.start();
        running.add(instrument);
      }
    } catch (IOException | LinkageError failed) {
      System.err.printf(
          "no wire for instrument %s: %s; nothing is started%s%n",
          serial(running.size()),
          failed.getMessage(),
          choice.tcp < 0 ? "; --tcp works without pseudo-terminals" : "");
      stopAll();
      return EXIT_NO_WIRE;
    }
    if (untilStdinEnds) {
      watchStdin();
    }
    boolean over;
    do {
      over = ended.await(1, TimeUnit.HOURS);
    } while (!over);
    stopAll();
    return CommandLine.ExitCode.OK;
  }

  private void refuseNonsense() {
    List<String> wrong = new ArrayList<>();
    require(wrong, instruments >= 1 && instruments <= MOST_INSTRUMENTS, "--instruments: 1 to 1000");
    require(wrong, seed >= 0 && seed <= MOST_SEED, "--seed: 0 to " + MOST_SEED);
    require(wrong, pace > 0 && Double.isFinite(pace), "--pace: a number above 0");
    require(wrong, store >= 1 && store <= MOST_STORE, "--store: 1 to " + MOST_STORE);
    require(wrong, beat >= 100 && beat <= 600_000, "--beat: 100 to 600000 ms");
    require(wrong, unplugAfter >= 0, "--unplug-after: 0 or more");
    require(wrong, choice.tcp >= -1 && choice.tcp + instruments <= 65_536, "--tcp: up to 65535");
    require(
        wrong,
        boot.isEmpty() || bootId(instruments - 1).matches(BOOT_ID),
        "--boot: 1 to 32 of A-Z a-z 0-9 _ - with what is appended");
    require(wrong, choice.tcp < 0 || link.isEmpty(), "--link: goes with --pty only");
    if (!wrong.isEmpty() && spec != null) {
      throw new ParameterException(
          spec.commandLine(), "out of range, nothing is started: " + String.join("; ", wrong));
    }
  }

  private static void require(List<String> wrong, boolean right, String rule) {
    if (!right) {
      wrong.add(rule);
    }
  }

  private Instrument instrument(int index) {
    Scenario scenario = new Scenario(seed + index, fault);
    String serial = serial(index);
    Fault.of(scenario).inWords().ifPresent(words -> announce("planted", serial, words));
    return new Instrument(
        serial,
        new LineFace(
            serial,
            bootId(index),
            new Store(store),
            Duration.ofMillis(beat),
            new InstrumentClock(clock, InstantSource.system()),
            words -> System.err.println(serial + ": " + words)),
        choice.tcp >= 0
            ? new TcpWire(choice.tcp == 0 ? 0 : choice.tcp + index)
            : new PtyWire(
                link.map(path -> path.resolveSibling(path.getFileName() + suffix(index)))),
        TestRun.of(scenario),
        new Instrument.Habits(
            pace,
            startNow,
            noise ? Optional.of(scenario.random("line noise")) : Optional.empty(),
            unplugAfter,
            UNPLUGGED),
        address -> announce("ready", serial, address),
        words -> System.err.println(serial + ": " + words));
  }

  private static synchronized void announce(String what, String serial, String words) {
    System.out.printf("%s %s %s%n", what, serial, words);
    System.out.flush();
  }

  private String serial(int index) {
    return "SIM-%04d".formatted(seed + index);
  }

  private String suffix(int index) {
    return instruments == 1 ? "" : "-" + (index + 1);
  }

  private String bootId(int index) {
    if (boot.isPresent()) {
      return boot.get() + suffix(index);
    }
    byte[] random = new byte[BOOT_BYTES];
    new SecureRandom().nextBytes(random);
    return HexFormat.of().formatHex(random);
  }

  private void watchStdin() {
    Thread watcher =
        new Thread(
            () -> {
              byte[] ignored = new byte[256];
              try {
                int count;
                do {
                  count = System.in.read(ignored);
                } while (count >= 0);
              } catch (IOException gone) {
                System.err.println("standard input cannot be read any more: " + gone);
              }
              ended.countDown();
            },
            "until-stdin-ends");
    watcher.setDaemon(true);
    watcher.start();
  }

  private void stopAll() {
    running.forEach(Instrument::stop);
    running.forEach(Instrument::close);
    ended.countDown();
  }
}
