package org.tallywire.format;

import java.util.EnumSet;
import java.util.Optional;
import java.util.Set;
import org.tallywire.acceptance.PlanOptions;
import org.tallywire.acceptance.PlanOptions.ResistanceTaps;
import org.tallywire.acceptance.PlanOptions.TestKind;
import org.tallywire.acceptance.RatioBasis;

/** Reads the keys of a test set that say what its plan is to hold. */
public final class PlanKeys {

  private PlanKeys() {}

  /**
   * Reads {@code tests}, {@code ratio-basis} and {@code resistance-taps}; one that is not there has
   * the usual value.
   */
  public static PlanOptions read(YamlSection testSet) {
    return new PlanOptions(
        testSet.has("tests") ? tests(testSet) : PlanOptions.USUAL.tests(),
        basis(testSet),
        taps(testSet));
  }

  private static Set<TestKind> tests(YamlSection testSet) {
    Set<TestKind> tests = EnumSet.noneOf(TestKind.class);
    boolean none = true;
    for (String word : testSet.texts("tests")) {
      none = false;
      Optional<TestKind> test = TestKind.of(word);
      if (test.isEmpty()) {
        testSet.problem(
            "tests",
            "\"%s\" is none of the tests %s".formatted(word, String.join(", ", TestKind.words())));
      } else if (!tests.add(test.get())) {
        testSet.problem("tests", "\"%s\" is there twice".formatted(word));
      }
    }
    if (none) {
      testSet.problem("tests", "names no test of " + String.join(", ", TestKind.words()));
    }
    return tests.isEmpty() ? PlanOptions.USUAL.tests() : tests;
  }

  private static ResistanceTaps taps(YamlSection testSet) {
    return testSet.has("resistance-taps")
        ? testSet
            .converted("resistance-taps", "principal or every", ResistanceTaps::of)
            .orElse(ResistanceTaps.PRINCIPAL)
        : ResistanceTaps.PRINCIPAL;
  }

  private static RatioBasis basis(YamlSection testSet) {
    return testSet.has("ratio-basis")
        ? testSet
            .converted("ratio-basis", "terminals, winding or line", RatioBasis::of)
            .orElse(RatioBasis.TERMINALS)
        : RatioBasis.TERMINALS;
  }
}
