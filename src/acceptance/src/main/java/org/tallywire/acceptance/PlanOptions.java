package org.tallywire.acceptance;

import java.util.Arrays;
import java.util.Collections;
import java.util.EnumSet;
import java.util.List;
import java.util.Optional;
import java.util.Set;

/**
 * What a test plan is to hold.
 *
 * @param tests at least one; the plan has its own order of them
 * @param basis what the instrument shows as the ratio
 */
public record PlanOptions(Set<TestKind> tests, RatioBasis basis) {

  /** Ratio and winding resistance, with an instrument that shows what its terminals read. */
  public static final PlanOptions USUAL =
      new PlanOptions(
          Set.of(TestKind.TURNS_RATIO, TestKind.WINDING_RESISTANCE), RatioBasis.TERMINALS);

  public PlanOptions {
    if (tests.isEmpty()) {
      throw new IllegalArgumentException(
          "a test plan without a test cannot be; the tests are " + TestKind.words());
    }
    tests = Collections.unmodifiableSet(EnumSet.copyOf(tests));
  }

  /** A test that a plan can hold, in the order of the plan: what magnetises the core comes last. */
  public enum TestKind {
    TURNS_RATIO(Step.TURNS_RATIO),
    SHORT_CIRCUIT_IMPEDANCE(Step.SHORT_CIRCUIT_IMPEDANCE),
    INSULATION_RESISTANCE(Step.INSULATION_RESISTANCE),
    WINDING_RESISTANCE(Step.WINDING_RESISTANCE);

    private final String word;

    TestKind(String word) {
      this.word = word;
    }

    /** Returns the word for it in records, labels and configurations. */
    public String word() {
      return word;
    }

    /** Returns the words of all. */
    public static List<String> words() {
      return Arrays.stream(values()).map(TestKind::word).toList();
    }

    /** Returns the test with the given word, or nothing if there is none. */
    public static Optional<TestKind> of(String word) {
      return Arrays.stream(values()).filter(test -> test.word.equals(word)).findFirst();
    }
  }
}
