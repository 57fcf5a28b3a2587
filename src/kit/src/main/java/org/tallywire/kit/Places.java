package org.tallywire.kit;

import java.util.ArrayList;
import java.util.List;
import java.util.Optional;
import org.tallywire.api.Example.Expected;
import org.tallywire.api.Example.Place;
import org.tallywire.api.Gap;
import org.tallywire.api.Reading;
import org.tallywire.api.SequenceNumber;

/** What is different about the numbers of readings, their gaps and restarts, a line each. */
final class Places {

  private Places() {}

  /** Returns it for readings that are as expected otherwise; nothing where no place is expected. */
  static List<String> differences(List<Expected> expected, List<Reading> readings, List<Gap> gaps) {
    List<String> found = new ArrayList<>();
    List<Gap> left = new ArrayList<>(gaps);
    Optional<SequenceNumber> before = Optional.empty();
    for (int i = 0; i < expected.size(); i++) {
      Optional<SequenceNumber> number = readings.get(i).sequence();
      String where = "reading %d: ".formatted(i + 1);
      if (expected.get(i).place().isPresent()) {
        compare(where, expected.get(i).place().get(), number, before, left, found);
      }
      before = number;
    }
    if (expected.stream().anyMatch(one -> one.place().isPresent())) {
      left.forEach(
          gap ->
              found.add(
                  "%d to %d are declared missing, and the example has no such gap"
                      .formatted(gap.from().number(), gap.to())));
    }
    return found;
  }

  private static void compare(
      String where,
      Place place,
      Optional<SequenceNumber> number,
      Optional<SequenceNumber> before,
      List<Gap> gaps,
      List<String> found) {
    String came = number.map(n -> Long.toString(n.number())).orElse("none");
    if (place.number().isPresent() && !place.number().equals(number.map(SequenceNumber::number))) {
      found.add(
          "%sthe number is %s, in the example %d".formatted(where, came, place.number().get()));
    }
    boolean declared =
        place.missing().isEmpty()
            || gaps.removeIf(
                gap ->
                    gap.from().number() == place.missing().get(0)
                        && gap.to() == place.missing().get(1));
    if (!declared) {
      found.add(
          "%s%d to %d are not declared missing, in the example they are"
              .formatted(where, place.missing().get(0), place.missing().get(1)));
    }
    boolean anew =
        before.isPresent()
            && number.isPresent()
            && !before.get().epoch().equals(number.get().epoch());
    if (anew != place.restart()) {
      found.add(
          "%sit %s a restart, in the example it %s"
              .formatted(where, anew ? "follows" : "does not follow", anew ? "does not" : "does"));
    }
  }
}
