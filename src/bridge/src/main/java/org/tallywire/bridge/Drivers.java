package org.tallywire.bridge;

import java.util.Map;
import java.util.Optional;
import java.util.ServiceLoader;
import java.util.TreeMap;
import org.tallywire.api.Driver;
import org.tallywire.api.DriverSource;

/** The drivers that are there, by name. */
final class Drivers {

  private final Map<String, Driver> byName = new TreeMap<>();

  private Drivers() {}

  /** Finds the drivers that come with the program. */
  static Drivers shipped() {
    Drivers drivers = new Drivers();
    for (DriverSource source : ServiceLoader.load(DriverSource.class)) {
      source.drivers().forEach(drivers::add);
    }
    return drivers;
  }

  void add(Driver driver) {
    if (byName.putIfAbsent(driver.description().name(), driver) != null) {
      throw new IllegalStateException(
          "two drivers call themselves \"%s\"".formatted(driver.description().name()));
    }
  }

  Optional<Driver> named(String name) {
    return Optional.ofNullable(byName.get(name));
  }

  /** Returns all names, for people. */
  String names() {
    return String.join(", ", byName.keySet());
  }
}
