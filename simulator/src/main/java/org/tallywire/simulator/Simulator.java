package org.tallywire.simulator;

import java.io.BufferedOutputStream;
import java.io.BufferedReader;
import java.io.IOException;
import java.io.InputStreamReader;
import java.io.OutputStream;
import java.nio.charset.Charset;
import java.nio.file.Files;
import java.nio.file.Path;
import java.util.List;
import java.util.Locale;
import java.util.concurrent.Callable;
import java.util.concurrent.CountDownLatch;
import java.util.concurrent.TimeUnit;
import org.jspecify.annotations.Nullable;
import org.tallywire.simulator.scenario.ScenarioException;
import picocli.CommandLine;
import picocli.CommandLine.Command;
import picocli.CommandLine.Mixin;
import picocli.CommandLine.Model.CommandSpec;
import picocli.CommandLine.ParameterException;
import picocli.CommandLine.Spec;
import picocli.CommandLine.UnmatchedArgumentException;

/** The command: starts pretend transformer testers and keeps them alive until it is told to end. */
@Command(
    name = "simulator",
    version = "simulator 0.1.0",
    mixinStandardHelpOptions = true,
    sortOptions = false,
    description = {
      "A pretend transformer tester (or many) at work on an invented transformer.",
      "On standard output it prints \"ready SERIAL pty PATH\", \"ready SERIAL tcp HOST:PORT\" or"
          + " \"ready SERIAL serial PORT\" for each instrument, and again each time that the cable is"
          + " plugged in again, and before the first \"planted SERIAL FAULT WINDING PHASE\" for each"
          + " fault; remarks for people go to standard error."
    },
    exitCodeListHeading = "%nExit codes:%n",
    exitCodeList = {
      "0:ended as asked",
      "2:the command line or the scenario is wrong",
      "4:no pseudo-terminal, port or file can be had"
    })
final class Simulator implements Callable<Integer>, Fleet.Announcer {

  static final int EXIT_NO_WIRE = 4;

  @Mixin Options options = new Options();

  @Spec @Nullable CommandSpec spec;

  private final CountDownLatch ended = new CountDownLatch(1);

  /** Runs the command and ends the process with its exit code. */
  public static void main(String[] arguments) {
    Locale.setDefault(Locale.ROOT); // all texts are English, digits are those of the files
    System.exit(
        new CommandLine(new Simulator())
            .setParameterExceptionHandler(Simulator::refused)
            .execute(arguments));
  }

  /** Says what is wrong alone: all options after it would hide it. */
  private static int refused(ParameterException wrong, String[] arguments) {
    System.err.println(wrong.getMessage());
    UnmatchedArgumentException.printSuggestions(wrong, System.err);
    System.err.println("\"--help\" lists all options");
    return CommandLine.ExitCode.USAGE;
  }

  @Override
  public Integer call() throws InterruptedException {
    List<String> problems = options.problems();
    if (!problems.isEmpty() && spec != null) {
      throw new ParameterException(
          spec.commandLine(), "out of range, nothing is started: " + String.join("; ", problems));
    }
    try {
      return options.place.file == null ? run() : write(options.place.file);
    } catch (ScenarioException wrong) {
      System.err.println(wrong.getMessage());
      return CommandLine.ExitCode.USAGE;
    }
  }

  private int run() throws ScenarioException, InterruptedException {
    try (Fleet fleet = new Fleet(options, this)) {
      Runtime.getRuntime().addShutdownHook(new Thread(fleet::close, "stop-all"));
      try {
        fleet.start();
      } catch (IOException failed) {
        remark(String.valueOf(failed.getMessage()));
        return EXIT_NO_WIRE;
      }
      if (options.console || options.untilStdinEnds) {
        listen(new Console(fleet.benches(), this));
      }
      boolean over;
      do {
        over = ended.await(1, TimeUnit.HOURS);
      } while (!over);
      return CommandLine.ExitCode.OK;
    }
  }

  private int write(Path file) throws ScenarioException {
    try {
      if (file.toString().equals("-")) {
        VirtualRun.write(options, System.out, this::remark);
        System.out.flush();
      } else {
        try (OutputStream out = new BufferedOutputStream(Files.newOutputStream(file))) {
          VirtualRun.write(options, out, this::remark);
        }
      }
      return CommandLine.ExitCode.OK;
    } catch (IOException failed) {
      remark("%s is not complete: %s".formatted(file, failed));
      return EXIT_NO_WIRE;
    }
  }

  /** Takes commands until standard input ends. */
  private void listen(Console console) {
    Thread listener =
        new Thread(
            () -> {
              try (BufferedReader lines =
                  new BufferedReader(new InputStreamReader(System.in, Charset.defaultCharset()))) {
                for (String line = lines.readLine(); line != null; line = lines.readLine()) {
                  console.take(line);
                }
              } catch (IOException gone) {
                remark("standard input cannot be read any more: " + gone);
              } finally {
                if (options.untilStdinEnds) {
                  ended.countDown();
                }
              }
            },
            "console");
    listener.setDaemon(true);
    listener.start();
  }

  @Override
  public void announce(String what, String serial, String rest) {
    synchronized (this) {
      System.out.printf("%s %s %s%n", what, serial, rest);
      System.out.flush();
    }
  }

  @Override
  public void remark(String words) {
    System.err.println(words);
  }
}
