package org.tallywire.kit;

import java.util.ArrayList;
import java.util.List;
import java.util.Map;
import java.util.TreeSet;
import org.tallywire.api.Example.Expected;
import org.tallywire.api.Reading;
import org.tallywire.api.Value;

/** What is different between the readings that an example has and those that came, a line each. */
final class Differences {

  private static final int MOST = 12;

  private final List<String> found = new ArrayList<>();

  private Differences() {}

  /** Returns them, 13 lines at most; none if all is as expected. */
  static List<String> of(List<Expected> expected, List<Reading> readings) {
    Differences differences = new Differences();
    for (int i = 0; i < Math.max(expected.size(), readings.size()); i++) {
      if (i >= readings.size()) {
        differences.found.add(
            "reading %d of the example did not come: %s"
                .formatted(i + 1, Sentences.expected(List.of(expected.get(i)))));
      } else if (i >= expected.size()) {
        differences.found.add(
            "reading %d is not in the example: %s"
                .formatted(i + 1, Sentences.reading(readings.get(i))));
      } else {
        differences.compare(i, expected.get(i), readings.get(i));
      }
    }
    List<String> all = differences.found;
    return all.size() <= MOST
        ? all
        : Sentences.with(all.subList(0, MOST), "and %d more".formatted(all.size() - MOST));
  }

  private void compare(int index, Expected expected, Reading reading) {
    if (expected.matches(reading)) {
      return;
    }
    String phase = expected.labels().getOrDefault("phase", "");
    String where = "reading %d%s: ".formatted(index + 1, phase.isEmpty() ? "" : ", phase " + phase);
    values(where, expected.values(), reading.values());
    labels(where, expected.labels(), reading.labels());
    if (expected.status() != reading.status()) {
      found.add(
          "%sthe status is %s, in the example %s"
              .formatted(where, reading.status().word(), expected.status().word()));
    }
  }

  private void values(String where, List<Value> expected, List<Value> given) {
    for (int i = 0; i < Math.max(expected.size(), given.size()); i++) {
      if (i >= given.size()) {
        found.add(
            "%s%s of the example did not come".formatted(where, Sentences.value(expected.get(i))));
      } else if (i >= expected.size()) {
        found.add("%s%s is not in the example".formatted(where, Sentences.value(given.get(i))));
      } else if (!Expected.same(expected.get(i), given.get(i))) {
        found.add(
            "%s%s came, in the example it is %s%s"
                .formatted(
                    where,
                    Sentences.value(given.get(i)),
                    Sentences.value(expected.get(i)),
                    Sentences.digits(expected.get(i), given.get(i))));
      }
    }
  }

  private void labels(String where, Map<String, String> expected, Map<String, String> given) {
    TreeSet<String> names = new TreeSet<>(expected.keySet());
    names.addAll(given.keySet());
    for (String name : names) {
      String wanted = expected.get(name);
      String came = given.get(name);
      if (wanted == null) {
        found.add("%slabel %s \"%s\" is not in the example".formatted(where, name, came));
      } else if (came == null) {
        found.add("%slabel %s \"%s\" of the example did not come".formatted(where, name, wanted));
      } else if (!wanted.equals(came)) {
        found.add(
            "%slabel %s is \"%s\", in the example \"%s\"".formatted(where, name, came, wanted));
      }
    }
  }
}
