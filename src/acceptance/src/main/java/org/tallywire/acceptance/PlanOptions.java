package org.tallywire.acceptance;

import java.util.Arrays;
import java.util.Collections;
import java.util.EnumSet;
import java.util.List;
import java.util.Locale;
import java.util.Optional;
import java.util.Set;

/**
 * What a test plan is to hold.
 *
 * @param tests at least one; the plan has its own order of them
 * @param basis what the instrument shows as the ratio
 * @param resistanceTaps on which taps winding resistance is taken
 */
public record PlanOptions(Set<TestKind> tests, RatioBasis basis, ResistanceTaps resistanceTaps) {

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

  /** Winding resistance on the principal tap alone. */
  public PlanOptions(Set<TestKind> tests, RatioBasis basis) {
    this(tests, basis, ResistanceTaps.PRINCIPAL);
  }

  /** On which taps winding resistance is taken. */
  public enum ResistanceTaps {
    PRINCIPAL,
    /** On every position of each tap changer of the winding, the other on its principal one. */
    EVERY;

    /** Returns the word for it in configurations. */
    public String word() {
      return name().toLowerCase(Locale.ROOT);
    }

    /** Returns the choice with the given word, or nothing if there is none. */
    public static Optional<ResistanceTaps> of(String word) {
      return Arrays.stream(values()).filter(taps -> taps.word().equals(word)).findFirst();
    }
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
