package org.tallywire.bridge;

import java.util.LinkedHashMap;
import java.util.Map;
import java.util.Optional;
import java.util.ServiceLoader;
import java.util.TreeMap;
import org.tallywire.api.Driver;
import org.tallywire.api.DriverSource;

/** The drivers that are there, by name. Immutable. */
final class Drivers {

  private final Map<String, Driver> byName;

  private Drivers(Map<String, Driver> byName) {
    this.byName = byName;
  }

  /** Finds the drivers that come with the program. */
  static Drivers shipped() {
    Drivers drivers = new Drivers(new TreeMap<>());
    for (DriverSource source : ServiceLoader.load(DriverSource.class)) {
      for (Driver driver : source.drivers()) {
        drivers = drivers.with(driver);
      }
    }
    return drivers;
  }

  /** Returns these and one more, whose name none of them has. */
  Drivers with(Driver driver) {
    Map<String, Driver> more = new TreeMap<>(byName);
    if (more.put(driver.description().name(), driver) != null) {
      throw new IllegalStateException(
          "two drivers call themselves \"%s\"".formatted(driver.description().name()));
    }
    return new Drivers(more);
  }

  Optional<Driver> named(String name) {
    return Optional.ofNullable(byName.get(name));
  }

  /** Returns all names, for people. */
  String names() {
    return String.join(", ", byName.keySet());
  }

  /**
   * Returns a driver with the settings that are given, the others as they usually are.
   *
   * @throws IllegalArgumentException if it has no such setting, or refuses one; the message says so
   */
  static Driver configured(Driver driver, Map<String, String> given) {
    Map<String, String> all = new LinkedHashMap<>();
    driver.description().settings().forEach(s -> all.put(s.name(), s.usual()));
    for (String name : given.keySet()) {
      if (!all.containsKey(name)) {
        throw new IllegalArgumentException(
            "the driver %s has no setting \"%s\"; it has %s"
                .formatted(
                    driver.description().name(), name, all.isEmpty() ? "none" : all.keySet()));
      }
    }
    all.putAll(given);
    return all.isEmpty() ? driver : driver.configured(all);
  }
}
