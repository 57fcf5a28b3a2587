package org.tallywire.bridge;

import java.nio.file.Path;
import java.util.LinkedHashMap;
import java.util.List;
import java.util.Map;
import org.jspecify.annotations.Nullable;
import org.tallywire.api.Driver;
import org.tallywire.format.SetupException;
import picocli.CommandLine.Model.CommandSpec;
import picocli.CommandLine.Option;
import picocli.CommandLine.ParameterException;
import picocli.CommandLine.Parameters;
import picocli.CommandLine.Spec;

/** A driver on the command line: its file, and a station's settings. */
final class DriverArguments {

  @Parameters(
      paramLabel = "FILE",
      description = "a declared driver (.yaml, .yml, .json) or a jar; a jar's code is run")
  private Path file = Path.of("");

  @Option(
      names = "--set",
      paramLabel = "KEY=VALUE",
      description = "a setting, as a station would set it: --set addresses=01,02")
  private Map<String, String> settings = new LinkedHashMap<>();

  @Spec(Spec.Target.MIXEE)
  private @Nullable CommandSpec spec;

  Path file() {
    return file;
  }

  /**
   * Returns the drivers of the file, each with its settings.
   *
   * @throws SetupException with every problem of the file
   */
  List<Driver> drivers() throws SetupException {
    if (!DriverFile.isOne(file)) {
      throw wrong("%s is no driver by its name: .yaml, .yml, .json or .jar".formatted(file));
    }
    try {
      return DriverFile.read(file).drivers().stream().map(this::configured).toList();
    } catch (DriverFile.Unusable e) {
      throw new SetupException(e.problems());
    }
  }

  private Driver configured(Driver driver) {
    try {
      return Drivers.configured(driver, settings);
    } catch (IllegalArgumentException e) {
      throw wrong("--set: " + e.getMessage());
    }
  }

  private RuntimeException wrong(String sentence) {
    CommandSpec of = spec;
    return of == null
        ? new IllegalStateException(sentence)
        : new ParameterException(of.commandLine(), sentence);
  }
}
