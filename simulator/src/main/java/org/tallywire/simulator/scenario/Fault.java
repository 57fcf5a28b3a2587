package org.tallywire.simulator.scenario;

import java.util.Optional;
import java.util.Random;
import org.tallywire.simulator.tester.TestRun;

/** What is wrong with the unit under test. */
public sealed interface Fault {

  /** The choice a user has; the seed settles the rest. */
  public enum Kind {
    NONE("none"),
    BAD_JOINT("bad-joint"),
    SHORTED_TURNS("shorted-turns");

    private final String word;

    Kind(String word) {
      this.word = word;
    }

    @Override
    public String toString() {
      return word;
    }
  }

  /** Returns what is wrong and where, for example {@code bad-joint LV C}; nothing if nothing is. */
  public Optional<String> inWords();

  /** A sound unit. */
  public record None() implements Fault {
    @Override
    public Optional<String> inWords() {
      return Optional.empty();
    }
  }

  /**
   * A poor joint in series with one LV phase.
   *
   * @param phase 0 to 2
   * @param share its resistance as a part of the phase's, 0.06 to 0.15
   */
  public record BadJoint(int phase, double share) implements Fault {
    @Override
    public Optional<String> inWords() {
      return Optional.of(Kind.BAD_JOINT + " LV " + TestRun.letter(phase));
    }
  }

  /**
   * A part of one layer of an HV phase closed on itself.
   *
   * <p>Why not one to three turns: with the resistance of the short's own conductor alone, the
   * current it draws drops as much voltage in the rest of the winding as the missing turns take
   * away, so that the ratio stays what it was to first order. What moves the ratio is the leakage
   * reactance of the short, which grows with the square of its turns.
   *
   * @param phase 0 to 2
   * @param turns 20 to 28
   */
  public record ShortedTurns(int phase, int turns) implements Fault {
    @Override
    public Optional<String> inWords() {
      return Optional.of(Kind.SHORTED_TURNS + " HV " + TestRun.letter(phase));
    }
  }

  /** Returns the fault of that scenario, place and size by its seed. */
  public static Fault of(Scenario scenario) {
    Random random = scenario.random("fault");
    int phase = random.nextInt(3);
    return switch (scenario.fault()) {
      case NONE -> new None();
      case BAD_JOINT -> new BadJoint(phase, 0.06 + 0.09 * random.nextDouble());
      case SHORTED_TURNS -> new ShortedTurns(phase, 20 + random.nextInt(9));
    };
  }
}
