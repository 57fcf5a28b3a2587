package org.tallywire.simulator.scenario;

/** What is wrong with the test set. */
public sealed interface TesterFault extends Fault {

  /** What a fault of the test set is about. */
  enum Quantity {
    RATIO,
    RESISTANCE,
    CURRENT,
    VOLTAGE
  }

  /** Its gain walks away, percent an hour from the moment the fault begins. */
  record Drift(Quantity quantity, double percentPerHour) implements TesterFault {
    public Drift {
      Require.finite(percentPerHour);
    }
  }

  /** Its gain is wrong, percent. */
  record OutOfCalibration(Quantity quantity, double percent) implements TesterFault {
    public OutOfCalibration {
      Require.finite(percent);
    }
  }

  /** Its noise is so many times what it should be. */
  record Noisy(double times) implements TesterFault {
    public Noisy {
      Require.notNegative(times);
    }
  }

  /** It shows again and again what it showed last. */
  record FrozenDisplay() implements TesterFault {}
}
