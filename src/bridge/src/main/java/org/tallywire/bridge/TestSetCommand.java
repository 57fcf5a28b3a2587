package org.tallywire.bridge;

import picocli.CommandLine.Command;

/** {@code tallywire test-set}: what a tester does with a test set while a bridge runs. */
@Command(
    name = "test-set",
    description = {
      "Opens a test set and leads it to its end, beside a bridge that runs. What is done is a record"
          + " in the bridge's journal, with who did it and when; nothing is ever changed in place.",
      "Ends with 0 if it is done, with 3 if the bridge refused it or none runs."
    },
    mixinStandardHelpOptions = true,
    subcommands = {
      TestSetOpenCommand.class,
      TestSetAnswerCommand.class,
      TestSetNoteCommand.class,
      TestSetStepCommands.Skip.class,
      TestSetStepCommands.Repeat.class,
      TestSetStepCommands.Book.class,
      TestSetPauseCommands.Pause.class,
      TestSetPauseCommands.Resume.class,
      TestSetPauseCommands.Close.class,
      TestSetShowCommand.class,
      TestSetListCommand.class,
    })
final class TestSetCommand {}
