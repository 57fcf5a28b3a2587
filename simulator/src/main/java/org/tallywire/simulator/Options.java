package org.tallywire.simulator;

import java.nio.file.Path;
import java.util.ArrayList;
import java.util.Iterator;
import java.util.List;
import java.util.Optional;
import java.util.stream.Stream;
import org.jspecify.annotations.Nullable;
import org.tallywire.simulator.face.InstrumentClock;
import org.tallywire.simulator.scenario.DrawnFault;
import org.tallywire.simulator.scenario.ScenarioFile;
import org.tallywire.simulator.scenario.TesterPlan.Language;
import picocli.CommandLine;
import picocli.CommandLine.ArgGroup;
import picocli.CommandLine.Option;

/** What the command line asks for. */
final class Options {

  private static final int MOST_INSTRUMENTS = 1000;
  private static final long MOST_SEED = 999_999_999;
  private static final int MOST_STORE = 1_000_000_000;
  private static final double LEAST_PACE = 0.001;
  private static final double MOST_PACE = 1000;
  private static final String BOOT_ID = "[A-Za-z0-9_-]{1,32}";

  /** Where the instruments speak; exactly one, a pseudo-terminal if none is asked for. */
  static final class Place {
    @Option(names = "--pty", description = "Speak at a pseudo-terminal each (default).")
    boolean pty;

    @Option(
        names = "--tcp",
        paramLabel = "PORT",
        description =
            "Speak over TCP on 127.0.0.1 at this port and, for more instruments, the next ones;"
                + " 0 takes any that are free.")
    @Nullable Integer tcp;

    @Option(
        names = "--serial",
        paramLabel = "PORT",
        description = "Speak at this serial port, for one instrument (/dev/ttyUSB0, COM5).")
    @Nullable String serial;

    @Option(
        names = "--to",
        paramLabel = "FILE",
        description =
            "Speak to nobody: write every byte that the instrument says to this file, in virtual"
                + " time, as if somebody took each reading at once. Same scenario and seed, same"
                + " bytes; with -, to standard output.")
    @Nullable Path file;
  }

  @ArgGroup Place place = new Place();

  @Option(
      names = "--scenario",
      paramLabel = "NAME|FILE",
      description =
          "Who measures what with which faults: one of ${COMPLETION-CANDIDATES}, or a YAML file"
              + " (default: the unit of hollow-lane without a fault).",
      completionCandidates = ScenarioNames.class)
  Optional<String> scenario = Optional.empty();

  @Option(
      names = "--seed",
      paramLabel = "S",
      description =
          "Decides every reading, and the serial number; further instruments take S+1, S+2, ..."
              + " (default: the scenario's, else 1).")
  Optional<Long> seed = Optional.empty();

  @Option(
      names = "--fault",
      paramLabel = "WORD",
      description =
          "Instead of the scenario's faults one that the seed places: ${COMPLETION-CANDIDATES}.",
      completionCandidates = FaultWords.class,
      converter = FaultWord.class)
  Optional<String> fault = Optional.empty();

  @Option(
      names = "--plant",
      paramLabel = "FAULT",
      description =
          "One more fault, as a scenario file writes it, for example"
              + " 'bad joint: {winding: LV, phase: C, adds: 8 %%}'. May be repeated.")
  List<String> plant = new ArrayList<>();

  @Option(
      names = "--instruments",
      paramLabel = "N",
      defaultValue = "1",
      description = "How many instruments, 1 to 1000 (default ${DEFAULT-VALUE}).")
  int instruments;

  @Option(
      names = "--speaks",
      paramLabel = "LANGUAGE",
      description =
          "line (the line protocol), scpi, talk-only, or meter62056 or meter62056-a: an electricity"
              + " meter on the tester's supply instead of the tester (default: as the scenario says,"
              + " else line).",
      converter = LanguageWord.class)
  Optional<Language> speaks = Optional.empty();

  @Option(
      names = "--pace",
      paramLabel = "X",
      defaultValue = "1",
      description =
          "How many times faster than in real life it measures, 0.001 to 1000 (default"
              + " ${DEFAULT-VALUE}: 0.7 s a ratio, some seconds a resistance). Beats and line speed"
              + " stay as they are.")
  double pace;

  @Option(
      names = "--start-now",
      description = "Measure at once, not only after readings were first asked for.")
  boolean startNow;

  @Option(
      names = "--boot",
      paramLabel = "ID",
      description =
          "Boot id instead of a random one; with several instruments -1, -2, ... is appended, and"
              + " at each start after a reboot -r1, -r2, ... An id must never be used twice.")
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
          "What the instrument says of its clock: none, relative, free, synchronised (default"
              + " ${DEFAULT-VALUE}). relative counts from its start.",
      converter = ClockWord.class)
  InstrumentClock.Quality clock = InstrumentClock.Quality.FREE;

  @Option(
      names = "--baud",
      paramLabel = "BAUD",
      defaultValue = "115200",
      description = "Speed with --serial (default ${DEFAULT-VALUE}; 8 data bits, no parity).")
  int baud;

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
      names = "--taken",
      paramLabel = "FILE",
      description =
          "Append to this file each reading as it is taken, before any of it is sent: serial, boot"
              + " id, number, and its line without the check value. Also those that are lost in a"
              + " full store or a reboot. For the line protocol.")
  Optional<Path> taken = Optional.empty();

  @Option(
      names = "--console",
      description = "Take commands from standard input while it runs; \"help\" lists them.")
  boolean console;

  @Option(
      names = "--until-stdin-ends",
      description =
          "End when standard input ends, as it does when the parent process dies; takes commands"
              + " too.")
  boolean untilStdinEnds;

  /** Returns what is out of range, a few words each; empty if nothing is. */
  List<String> problems() {
    List<String> wrong = new ArrayList<>();
    require(wrong, instruments >= 1 && instruments <= MOST_INSTRUMENTS, "--instruments: 1 to 1000");
    long first = seed.orElse(0L);
    require(wrong, first >= 0 && first <= MOST_SEED, "--seed: 0 to " + MOST_SEED);
    require(wrong, pace >= LEAST_PACE && pace <= MOST_PACE, "--pace: 0.001 to 1000");
    require(wrong, store >= 1 && store <= MOST_STORE, "--store: 1 to " + MOST_STORE);
    require(wrong, beat >= 100 && beat <= 600_000, "--beat: 100 to 600000 ms");
    require(wrong, baud >= 300 && baud <= 4_000_000, "--baud: 300 to 4000000");
    require(wrong, unplugAfter >= 0, "--unplug-after: 0 or more");
    int port = place.tcp == null ? 0 : place.tcp;
    require(wrong, port >= 0 && port + instruments <= 65_536, "--tcp: 0 to 65535");
    require(
        wrong,
        instruments == 1 || (place.serial == null && place.file == null),
        "--instruments: 1 with --serial or --to");
    require(
        wrong,
        boot.isEmpty() || (boot.get() + suffix(instruments - 1)).matches(BOOT_ID),
        "--boot: 1 to 32 of A-Z a-z 0-9 _ - with what is appended");
    require(wrong, onPty() || link.isEmpty(), "--link: goes with --pty only");
    return wrong;
  }

  private static void require(List<String> wrong, boolean right, String rule) {
    if (!right) {
      wrong.add(rule);
    }
  }

  /** Returns whether each instrument speaks at a pseudo-terminal. */
  boolean onPty() {
    return place.tcp == null && place.serial == null && place.file == null;
  }

  /** Returns what is appended to the names of the instrument of that number, from 0. */
  String suffix(int index) {
    return instruments == 1 ? "" : "-" + (index + 1);
  }

  /** Offers the scenarios inside this program. */
  static final class ScenarioNames implements Iterable<String> {
    @Override
    public Iterator<String> iterator() {
      return ScenarioFile.shipped().iterator();
    }
  }

  /** Offers the words of {@link DrawnFault}. */
  static final class FaultWords implements Iterable<String> {
    @Override
    public Iterator<String> iterator() {
      return DrawnFault.words().iterator();
    }
  }

  /** Reads a word of {@link DrawnFault}. */
  static final class FaultWord implements CommandLine.ITypeConverter<String> {
    @Override
    public String convert(String word) {
      return oneOf(DrawnFault.words().stream(), word);
    }
  }

  /** Reads a word of {@link InstrumentClock.Quality}. */
  static final class ClockWord implements CommandLine.ITypeConverter<InstrumentClock.Quality> {
    @Override
    public InstrumentClock.Quality convert(String word) {
      return oneOf(Stream.of(InstrumentClock.Quality.values()), word);
    }
  }

  /** Reads a word of {@link Language}. */
  static final class LanguageWord implements CommandLine.ITypeConverter<Language> {
    @Override
    public Language convert(String word) {
      return oneOf(Stream.of(Language.values()), word);
    }
  }

  private static <T> T oneOf(Stream<T> choices, String word) {
    List<T> all = choices.toList();
    return all.stream()
        .filter(choice -> choice.toString().equals(word))
        .findFirst()
        .orElseThrow(
            () ->
                new CommandLine.TypeConversionException(
                    "\"%s\" is not one of %s".formatted(word, all)));
  }
}
