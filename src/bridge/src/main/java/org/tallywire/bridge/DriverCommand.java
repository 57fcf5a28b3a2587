package org.tallywire.bridge;

import org.jspecify.annotations.Nullable;
import picocli.CommandLine.Command;
import picocli.CommandLine.Model.CommandSpec;
import picocli.CommandLine.ParameterException;
import picocli.CommandLine.Spec;

/** {@code tallywire driver}: what somebody needs who makes a driver. */
@Command(
    name = "driver",
    description = "Checks a driver, tries one on a meter, or writes the beginning of one.",
    mixinStandardHelpOptions = true,
    subcommands = {DriverCheckCommand.class, DriverTryCommand.class, DriverNewCommand.class})
final class DriverCommand implements Runnable {

  @Spec private @Nullable CommandSpec spec;

  @Override
  public void run() {
    if (spec != null) {
      throw new ParameterException(spec.commandLine(), "say what is to be done: check, try or new");
    }
  }
}
