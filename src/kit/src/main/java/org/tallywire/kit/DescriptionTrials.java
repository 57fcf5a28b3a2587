package org.tallywire.kit;

import java.util.HashSet;
import java.util.LinkedHashMap;
import java.util.Map;
import java.util.Set;
import java.util.regex.Pattern;
import org.tallywire.api.Driver;
import org.tallywire.api.DriverDescription;

/** Looks at what a driver says of itself. */
final class DescriptionTrials {

  private static final Pattern NAME =
      Pattern.compile("[A-Za-z0-9_-]{1,64}"); // as in configurations

  private final Driver driver;
  private final DriverReport report;

  DescriptionTrials(Driver driver, DriverReport report) {
    this.driver = driver;
    this.report = report;
  }

  void run() {
    DriverDescription description = driver.description();
    if (!NAME.matcher(description.name()).matches()) {
      broken("its name is \"%s\"; it is 1 to 64 of A-Z a-z 0-9 _ -".formatted(description.name()));
    }
    if (description.version().isBlank()) {
      broken("it has no version; write one, and another for every change");
    }
    if (description.about().isBlank()) {
      broken("it says nothing about itself; write a sentence for whoever configures it");
    }
    settings(description);
    report.passed(DriverRule.DESCRIPTION, description.nameAndVersion());
  }

  private void settings(DriverDescription description) {
    Map<String, String> usual = new LinkedHashMap<>();
    Set<String> names = new HashSet<>();
    boolean some = false;
    for (DriverDescription.Setting setting : description.settings()) {
      if (!names.add(setting.name())) {
        broken("it has the setting \"%s\" twice".formatted(setting.name()));
      }
      if (setting.about().isBlank()) {
        broken("it does not say what the setting \"%s\" is".formatted(setting.name()));
      }
      some |= setting.usual().isEmpty();
      usual.put(setting.name(), setting.usual());
    }
    if (usual.isEmpty()) {
      return;
    }
    try {
      driver.configured(usual);
    } catch (IllegalArgumentException e) {
      if (some) {
        report.note("a station has to set something: " + e.getMessage());
      } else {
        broken("it refuses the usual values of its settings: " + e.getMessage());
      }
    }
  }

  private void broken(String sentence) {
    report.broken(DriverRule.DESCRIPTION, sentence);
  }
}
