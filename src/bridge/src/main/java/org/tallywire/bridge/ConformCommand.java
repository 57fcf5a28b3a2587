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
    exitCodeListHeading = ConformCommand.EXIT_CODES,
    exitCodeList = {
      ConformCommand.EXIT_KEPT,
      ConformCommand.EXIT_BROKEN,
      "2:nothing could be examined: the other side did not come, or the command line is wrong",
      ConformCommand.EXIT_TOO_LITTLE,
      ConformCommand.EXIT_FAULT
    },
    mixinStandardHelpOptions = true,
    subcommands = {ConformInstrumentCommand.class, ConformBridgeCommand.class})
final class ConformCommand implements Runnable {

  /** Exit code: the side under test breaks a rule. */
  static final int BROKEN = 1;

  /** Exit code: nothing is broken, but too little could be tested to say more. */
  static final int TOO_LITTLE = Tallywire.NOT_AS_IT_SHOULD_BE;

  static final String EXIT_CODES = "%nExit codes:%n";
  static final String EXIT_KEPT = "0:no rule was found broken";
  static final String EXIT_BROKEN = "1:a rule is broken";
  static final String EXIT_TOO_LITTLE =
      "3:no rule was found broken, but too little was tested: the instrument gave no reading";
  static final String EXIT_FAULT = "4:a fault of the program itself";

  @Spec private @Nullable CommandSpec spec;

  @Override
  public void run() {
    if (spec != null) {
      throw new ParameterException(spec.commandLine(), "say which side is to be examined");
    }
  }
}
