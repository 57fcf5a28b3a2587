package org.tallywire.bridge;

import org.jspecify.annotations.Nullable;
import picocli.CommandLine.Command;
import picocli.CommandLine.Model.CommandSpec;
import picocli.CommandLine.ParameterException;
import picocli.CommandLine.Spec;

/** {@code tallywire conform}: holds one side of the line against the rules of the protocol. */
@Command(
    name = "conform",
    description = "Plays the other side of the line protocol and says which rules are kept.",
    mixinStandardHelpOptions = true,
    subcommands = {ConformInstrumentCommand.class, ConformBridgeCommand.class})
final class ConformCommand implements Runnable {

  /** Exit code: the side under test breaks a rule. */
  static final int BROKEN = 1;

  @Spec private @Nullable CommandSpec spec;

  @Override
  public void run() {
    if (spec != null) {
      throw new ParameterException(spec.commandLine(), "say which side is to be examined");
    }
  }
}
