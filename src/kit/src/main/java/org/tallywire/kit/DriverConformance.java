package org.tallywire.kit;

import static org.junit.jupiter.api.Assertions.assertNotSame;

import java.util.Arrays;
import java.util.Random;
import java.util.stream.Stream;
import org.junit.jupiter.api.DynamicTest;
import org.junit.jupiter.api.TestFactory;
import org.tallywire.api.Driver;
import org.tallywire.kit.DriverReport.Outcome;

/**
 * The rules every driver keeps, as tests: extend it and say which driver. It plays the driver's own
 * examples, of which at least one must give a reading.
 */
public abstract class DriverConformance {

  /** Returns the driver under test. */
  protected abstract Driver driver();

  /** Makes a test of each rule; a rule that cannot be tested on this driver passes. */
  @TestFactory
  Stream<DynamicTest> rules() {
    long seed = new Random().nextLong();
    DriverReport report = DriverCheck.of(driver(), seed);
    return Arrays.stream(DriverRule.values())
        .map(
            rule ->
                DynamicTest.dynamicTest(
                    "%s: %s".formatted(rule.id(), rule.sentence()),
                    () ->
                        assertNotSame(
                            Outcome.BROKEN,
                            report.outcome(rule),
                            "seed %d: %s"
                                .formatted(seed, String.join("\n", report.sentences(rule))))));
  }
}
