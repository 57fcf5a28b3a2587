package org.tallywire.bridge;

import java.util.Optional;
import java.util.Random;
import java.util.concurrent.Callable;
import org.tallywire.api.Driver;
import org.tallywire.declared.DeclaredDriver;
import org.tallywire.kit.DriverCheck;
import org.tallywire.kit.DriverReport;
import picocli.CommandLine.Command;
import picocli.CommandLine.Mixin;
import picocli.CommandLine.Option;

/** {@code tallywire driver check}: holds a driver against the rules that all of them keep. */
@Command(
    name = "check",
    description = {
      "Plays every example of a driver whole, in pieces, damaged and withheld, and says which rules"
          + " it keeps. It needs no meter, opens no port and takes seconds.",
      "What it cannot see is whether the examples are what the meter really sends: try it."
    },
    exitCodeListHeading = "%nExit codes:%n",
    exitCodeList = {
      "0:no rule was found broken",
      "1:a rule is broken",
      "2:the file cannot be read, or the command line is wrong"
    },
    mixinStandardHelpOptions = true)
final class DriverCheckCommand implements Callable<Integer> {

  private static final int BROKEN = 1;

  @Mixin private DriverArguments arguments = new DriverArguments();

  @Option(
      names = "--seed",
      paramLabel = "N",
      description = "decides the random cuts and samples; random if left out")
  private Optional<Long> seed = Optional.empty();

  @Override
  public Integer call() throws Exception {
    boolean sound = true;
    long decided = seed.orElseGet(() -> new Random().nextLong(1_000_000));
    for (Driver driver : arguments.drivers()) {
      System.out.printf(
          "%s of %s, %d examples, seed %d%n%n",
          Visible.text(driver.description().nameAndVersion()),
          arguments.file(),
          driver.examples().size(),
          decided);
      DriverReport report = DriverCheck.of(driver, decided);
      report.lines().forEach(line -> System.out.println(Visible.text(line)));
      sound &= report.isSound();
      if (driver instanceof DeclaredDriver declared && !declared.bitsInWords().isEmpty()) {
        System.out.println("\nThe bits of the status, to compare with the meter's manual:");
        declared.bitsInWords().forEach(line -> System.out.println("  " + Visible.text(line)));
      }
    }
    System.out.flush();
    return sound ? Tallywire.OK : BROKEN;
  }
}
