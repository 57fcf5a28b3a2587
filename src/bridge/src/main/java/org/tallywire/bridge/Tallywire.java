package org.tallywire.bridge;

import java.io.PrintWriter;
import java.nio.file.Path;
import org.tallywire.format.SetupException;
import picocli.CommandLine;
import picocli.CommandLine.Command;
import picocli.CommandLine.ParameterException;

/**
 * The command {@code tallywire}. Exit codes: 0 well, 2 something that people wrote or set up is
 * wrong, 3 the result is not what it should be, 4 a fault of the program itself; {@code conform}
 * adds 1, a rule is broken.
 */
@Command(
    name = "tallywire",
    description =
        "Reads test instruments, records and judges every reading, publishes it over MQTT.",
    mixinStandardHelpOptions = true,
    version = "tallywire " + Tallywire.VERSION,
    subcommands = {
      DemoCommand.class,
      RunCommand.class,
      PortsCommand.class,
      PlanCommand.class,
      TestSetCommand.class,
      CaptureCommand.class,
      JudgeCommand.class,
      RecheckCommand.class,
      ExportCommand.class,
      ReportCommand.class,
      VerifyCommand.class,
      KeyCommand.class,
      ImportCommand.class,
      AssetsCommand.class,
      InstrumentCommand.class,
      ReplayCommand.class,
      ShelfCommand.class,
      JournalCommand.class,
      ConformCommand.class,
      DriverCommand.class,
    })
public final class Tallywire {

  static final String VERSION = "0.1.0";

  static final int OK = 0;
  static final int FAULT = 4;
  static final int SETUP = 2;
  static final int NOT_AS_IT_SHOULD_BE = 3;

  private Tallywire() {}

  /** Runs the command and ends the process with its exit code. */
  public static void main(String[] arguments) {
    System.exit(commandLine().execute(arguments));
  }

  static CommandLine commandLine() {
    return new CommandLine(new Tallywire())
        .setCaseInsensitiveEnumValuesAllowed(true)
        .setParameterExceptionHandler((wrong, arguments) -> tell(wrong))
        .setExecutionExceptionHandler(
            (exception, command, parsed) -> {
              PrintWriter err = command.getErr();
              if (exception instanceof SetupException setup) {
                tell(err, setup);
                return SETUP;
              }
              err.println("tallywire: a fault of the program itself:");
              exception.printStackTrace(err);
              return FAULT;
            });
  }

  /** Says what is wrong with the arguments, and where it is told what they may be. */
  private static int tell(ParameterException wrong) {
    CommandLine command = wrong.getCommandLine();
    String sentence =
        String.valueOf(wrong.getMessage())
            .replaceFirst("is not an? (int|long)$", "is not a whole number");
    command
        .getErr()
        .printf(
            "%s%nSee %s --help%n",
            Visible.text(sentence), command.getCommandSpec().qualifiedName());
    return SETUP;
  }

  private static void tell(PrintWriter err, SetupException setup) {
    int count = setup.problems().size();
    err.printf("Nothing was started: %s%n", count == 1 ? "one problem" : count + " problems");
    setup.problems().forEach(problem -> err.printf("  %s%n", Visible.text(problem)));
  }

  /**
   * Sends log lines to a file in the data folder; must come before the first logger is made.
   *
   * @param console the least level that is shown on the terminal as well
   */
  static void logTo(Path data, String console) {
    logTo(data, "tallywire.log", console);
  }

  /** Does so where a bridge may write the usual file at the same time. */
  static void logBeside(Path data) {
    logTo(data, "commands.log", "WARN");
  }

  private static void logTo(Path data, String file, String console) {
    System.setProperty("tallywire.log", data.resolve(file).toString());
    System.setProperty("tallywire.console", console);
  }
}
