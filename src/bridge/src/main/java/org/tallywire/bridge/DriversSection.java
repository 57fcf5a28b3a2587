package org.tallywire.bridge;

import java.io.IOException;
import java.nio.file.Files;
import java.nio.file.Path;
import java.util.ArrayList;
import java.util.HashMap;
import java.util.List;
import java.util.Locale;
import java.util.Map;
import java.util.Optional;
import java.util.regex.Pattern;
import java.util.stream.Stream;
import org.tallywire.api.Driver;
import org.tallywire.format.Problems;
import org.tallywire.format.YamlSection;

/**
 * Reads where drivers are that did not come with the program: a folder whose files ending in {@code
 * .jar} are Java drivers and those ending in {@code .yaml}, {@code .yml} or {@code .json} declared
 * ones. What else is in it is passed over. Logs nothing, since it is not known yet where to.
 */
final class DriversSection {

  private static final Pattern SHA_256 = Pattern.compile("[0-9a-fA-F]{64}");

  private final Path base;
  private final Problems problems;
  private final List<String> found = new ArrayList<>();

  /**
   * @param base the folder that paths are taken from
   */
  DriversSection(Path base, Problems problems) {
    this.base = base;
    this.problems = problems;
  }

  /** Returns what was found in the folder, one sentence a driver and a file that is none. */
  List<String> found() {
    return List.copyOf(found);
  }

  /** Returns the shipped drivers and those of the folder. */
  Drivers read(YamlSection section, Drivers shipped) {
    String name = section.text("folder");
    Map<String, String> digests = digests(section);
    section.end();
    if (name.isEmpty()) {
      return shipped;
    }
    Path folder = base.resolve(name);
    Drivers all = shipped;
    try (Stream<Path> files = Files.list(folder)) {
      for (Path file : files.sorted().toList()) {
        Optional<String> pin =
            Optional.ofNullable(digests.remove(String.valueOf(file.getFileName())));
        for (Driver driver : drivers(file, pin, section)) {
          all = add(all, driver, file);
        }
      }
    } catch (IOException e) {
      section.problem("folder", "%s cannot be listed: %s".formatted(folder, e));
      return all;
    }
    digests.keySet().forEach(file -> section.problem("digests", noSuch(file, folder)));
    return all;
  }

  private static Map<String, String> digests(YamlSection section) {
    Map<String, String> digests = new HashMap<>();
    section
        .section("digests")
        .ifPresent(
            files -> {
              for (String file : files.keys()) {
                String digest = files.text(file, SHA_256, "a SHA-256 in 64 hex digits");
                digests.put(file, digest.toLowerCase(Locale.ROOT));
              }
            });
    return digests;
  }

  private static String noSuch(String file, Path folder) {
    return "\"%s\" is not in %s".formatted(file, folder);
  }

  private List<Driver> drivers(Path file, Optional<String> pin, YamlSection section) {
    if (!DriverFile.isOne(file)) {
      found.add("%s is no driver by its name, and passed over".formatted(file));
      return List.of();
    }
    try {
      DriverFile read = DriverFile.read(file);
      if (pin.isPresent() && !pin.get().equals(read.digest())) {
        section.problem(
            "digests",
            "says that %s has the SHA-256 %s, but it has %s: it is not loaded. Find out who changed it"
                .formatted(file, pin.get(), read.digest()));
        return List.of();
      }
      List<Driver> drivers = read.drivers();
      for (Driver driver : drivers) {
        found.add(
            "driver %s from %s, SHA-256 %s"
                .formatted(
                    Visible.text(driver.description().nameAndVersion()), file, read.digest()));
      }
      return drivers;
    } catch (DriverFile.Unusable e) {
      e.problems().forEach(problems::add);
    }
    return List.of();
  }

  private Drivers add(Drivers all, Driver driver, Path file) {
    String name = driver.description().name();
    if (!BridgeConfigFile.NAME.matcher(name).matches()) {
      problems.add(
          "%s: its driver calls itself \"%s\"; a name is %s"
              .formatted(file, name, BridgeConfigFile.NAME_WORDS));
      return all;
    }
    if (all.named(name).isPresent()) {
      problems.add(
          "%s: its driver calls itself \"%s\", as another one does already; rename it or take one of the two away"
              .formatted(file, name));
      return all;
    }
    return all.with(driver);
  }
}
