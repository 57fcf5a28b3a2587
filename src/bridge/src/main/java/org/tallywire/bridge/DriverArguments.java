package org.tallywire.bridge;

import java.nio.file.Path;
import java.util.LinkedHashMap;
import java.util.List;
import java.util.Locale;
import java.util.Map;
import org.jspecify.annotations.Nullable;
import org.tallywire.api.Driver;
import org.tallywire.api.DriverDescription.Setting;
import org.tallywire.declared.DeclarationException;
import org.tallywire.declared.DeclaredFile;
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
    return read().stream().map(this::configured).toList();
  }

  private List<Driver> read() throws SetupException {
    String name = file.toString().toLowerCase(Locale.ROOT);
    try {
      if (name.endsWith(".jar")) {
        return DriverJar.Bytes.of(file).load().drivers();
      }
      if (name.matches(".*\\.(yaml|yml|json)")) {
        return List.of(DeclaredFile.read(file));
      }
    } catch (DriverJar.Unusable e) {
      throw new SetupException(List.of(String.valueOf(e.getMessage())));
    } catch (DeclarationException e) {
      throw new SetupException(e.problems());
    }
    throw wrong("%s is no driver by its name: .yaml, .yml, .json or .jar".formatted(file));
  }

  private Driver configured(Driver driver) {
    List<Setting> known = driver.description().settings();
    Map<String, String> all = new LinkedHashMap<>();
    known.forEach(setting -> all.put(setting.name(), setting.usual()));
    for (String key : settings.keySet()) {
      if (!all.containsKey(key)) {
        throw wrong(
            "--set: the driver %s has no setting \"%s\"; it has %s"
                .formatted(
                    driver.description().name(), key, all.isEmpty() ? "none" : all.keySet()));
      }
    }
    all.putAll(settings);
    try {
      return all.isEmpty() ? driver : driver.configured(all);
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
