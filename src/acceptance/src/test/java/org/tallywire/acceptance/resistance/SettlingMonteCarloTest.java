package org.tallywire.acceptance.resistance;

import static org.junit.jupiter.api.Assertions.assertEquals;
import static org.junit.jupiter.api.Assertions.assertTrue;

import java.math.BigDecimal;
import java.math.MathContext;
import java.math.RoundingMode;
import java.util.ArrayList;
import java.util.EnumMap;
import java.util.List;
import java.util.Map;
import java.util.Random;
import org.junit.jupiter.api.Test;
import org.tallywire.acceptance.Rounds;
import org.tallywire.acceptance.resistance.Settling.Extrapolation;
import org.tallywire.acceptance.resistance.Settling.State;

/** Random settling curves, whose end is known, with noise. */
class SettlingMonteCarloTest {

  private static final double TOLERANCE = 0.001;
  private static final int STREAMS = Rounds.of(150);

  @Test
  void neverSettlesFarFromTheEndAndFindsItWithinThreeUncertainties() {
    Tally tally = tally(20261125, false);
    assertEquals(0, tally.wronglySettled, "settled with more than three tolerances to go");
    assertTrue(tally.ends > STREAMS / 4, "too few extrapolations to count");
    assertTrue(tally.within3 >= tally.atLeast(0.95), "ends within three uncertainties");
    assertTrue(tally.states.get(State.SETTLED) > STREAMS / 10, "some settle");
  }

  // the second constant bends the curve a little where its readings have just joined: 5 % more off
  @Test
  void isNotLedAstrayBySecondTimeConstants() {
    Tally tally = tally(4711, true);
    assertEquals(0, tally.wronglySettled, "settled with more than three tolerances to go");
    assertTrue(tally.ends > STREAMS / 4, "too few extrapolations to count");
    assertTrue(tally.within3 >= tally.atLeast(0.9), "ends within three uncertainties");
  }

  private static Tally tally(long seed, boolean second) {
    Random random = new Random(seed);
    Tally tally = new Tally();
    for (int i = 0; i < STREAMS; i++) {
      Curve curve = Curve.drawn(random, second);
      tally.count(curve, SettlingRule.USUAL.judge(curve.stream(random)));
    }
    System.out.println("seed=" + seed + ", second time constant: " + second + ", " + tally);
    return tally;
  }

  /** Two time constants; the second far shorter, with a size of zero or more. */
  private record Curve(
      double end,
      double size,
      double slow,
      double other,
      double fast,
      int count,
      double step,
      double begin,
      double noise) {

    static Curve drawn(Random random, boolean second) {
      double end = Math.pow(10, -3 + 6 * random.nextDouble());
      double slow = Math.pow(10, 2 * random.nextDouble());
      int count = 5 + random.nextInt(36);
      // the readings go back over half a time constant to twelve
      double span = slow * (0.5 + 11.5 * random.nextDouble());
      double sign = random.nextInt(10) == 0 ? -0.3 : 1;
      return new Curve(
          end,
          sign * end * Math.pow(10, -2.5 + 2.5 * random.nextDouble()),
          slow,
          second ? end * random.nextDouble() : 0,
          slow / (4 + 8 * random.nextDouble()),
          count,
          span / (count - 1),
          slow * 3 * random.nextDouble(),
          end * Math.pow(10, -5.5 + 2.5 * random.nextDouble()));
    }

    double toGo(double t) {
      return size * Math.exp(-t / slow) + other * Math.exp(-t / fast);
    }

    double last() {
      return toGo(begin + (count - 1) * step);
    }

    List<TimedOhms> stream(Random random) {
      List<TimedOhms> stream = new ArrayList<>();
      for (int i = 0; i < count; i++) {
        double jitter = i == count - 1 ? 0 : 0.2 * step * random.nextDouble();
        double t = begin + i * step + jitter;
        double ohms = end + toGo(t) + noise * random.nextGaussian();
        int places = 5 - (int) Math.floor(Math.log10(end));
        stream.add(
            new TimedOhms(
                new BigDecimal(t, new MathContext(9)),
                new BigDecimal(ohms).setScale(places, RoundingMode.HALF_EVEN)));
      }
      return stream;
    }
  }

  private static final class Tally {
    private final Map<State, Integer> states = new EnumMap<>(State.class);
    private int wronglySettled;
    private int beyondTolerance;
    private int ends;
    private int within2;
    private int within3;

    void count(Curve curve, Settling settling) {
      states.merge(settling.state(), 1, Integer::sum);
      if (settling.state() == State.SETTLED) {
        double share = Math.abs(curve.last()) / curve.end();
        if (share > TOLERANCE) {
          beyondTolerance++;
        }
        if (share > 3 * TOLERANCE) {
          wronglySettled++;
          System.out.println(curve + " " + settling);
        }
      }
      if (settling.end().isPresent()) {
        Extrapolation end = settling.end().get();
        double off = Math.abs(end.ohms().doubleValue() - curve.end());
        ends++;
        within2 += off <= 2 * end.uncertainty().doubleValue() ? 1 : 0;
        within3 += off <= 3 * end.uncertainty().doubleValue() ? 1 : 0;
      }
    }

    /** Returns this share of the ends, less twice what chance may take from it. */
    double atLeast(double share) {
      return share * ends - 2 * Math.sqrt(share * (1 - share) * ends);
    }

    @Override
    public String toString() {
      return "%s; settled beyond one tolerance %d, beyond three %d; ends %d, within 2u %d, within 3u %d"
          .formatted(states, beyondTolerance, wronglySettled, ends, within2, within3);
    }
  }
}
