package org.tallywire.bridge;

import picocli.CommandLine.Command;

/** {@code tallywire instrument}: whether the instruments themselves are right. */
@Command(
    name = "instrument",
    description = {
      "Holds instruments against reference standards, notes their calibrations and shows how they"
          + " stand. Readings of an instrument that failed, or whose calibration is overdue, get"
          + " that said in their verdicts.",
    },
    mixinStandardHelpOptions = true,
    subcommands = {
      InstrumentVerifyCommand.class,
      InstrumentCalibratedCommand.class,
      InstrumentShowCommand.class,
    })
final class InstrumentCommand {}
