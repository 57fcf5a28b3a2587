package org.tallywire.acceptance.resistance;

import java.math.BigDecimal;
import java.util.List;
import java.util.Optional;
import org.apache.commons.math3.distribution.TDistribution;
import org.apache.commons.math3.util.FastMath;
import org.tallywire.acceptance.resistance.Settling.Extrapolation;
import org.tallywire.acceptance.resistance.Settling.State;
import org.tallywire.acceptance.resistance.Settling.Trend;

/**
 * Decides whether a stream of resistances has settled. No standard gives a number: readings are not
 * taken before the steady state (found: IEEE C57.12.91), so this is a rule of ours (derived). At
 * most the last 20 readings count. Settled are they when
 *
 * <ul>
 *   <li>what a straight line through the last of them may still bring, at the far end of the
 *       slope's confidence interval and with one step of resolution, is within the tolerance. It is
 *       counted over the time the line goes back or one time constant, whichever is longer; where a
 *       trend is seen that does not bend toward an end, over three times as long;
 *   <li>and, where they bend toward an end, what is left to it is so too.
 * </ul>
 *
 * <p>What cannot be seen: a settling with a time constant of more than about three times the time
 * that the readings go back looks settled.
 *
 * @param tolerance error that may still be to come, in percent
 * @param least readings at different times that are needed, at least 5
 * @param confidence of intervals and tests, for example 0.95
 */
public record SettlingRule(BigDecimal tolerance, int least, BigDecimal confidence) {

  /** 0.1 % (the resolution that IEEE C57.12.91-2020 asks for), five readings, 95 % (practice). */
  public static final SettlingRule USUAL =
      new SettlingRule(new BigDecimal("0.1"), 5, new BigDecimal("0.95"));

  private static final int FEWEST = 5;
  private static final int DIGITS = 8;
  private static final double UNBENT = 3;

  /**
   * @throws IllegalArgumentException if the tolerance is not greater than zero, {@code least} below
   *     5 or above 20, or the confidence not between 0.5 and 1
   */
  public SettlingRule {
    Figure.positive("the tolerance of settling", tolerance);
    if (least < FEWEST || least > Tail.MOST) {
      throw new IllegalArgumentException(
          "settling is judged from %d to %d readings or more, not %d"
              .formatted(FEWEST, Tail.MOST, least));
    }
    if (confidence.doubleValue() < 0.5 || confidence.doubleValue() >= 1) {
      throw new IllegalArgumentException(
          "the confidence %s is not between 0.5 and 1".formatted(Figure.plain(confidence)));
    }
  }

  /**
   * Judges a stream. Readings may come in any order, unevenly, and with the same time. Never
   * throws: what cannot be extrapolated has no {@link Settling#end}.
   */
  public Settling judge(List<TimedOhms> stream) {
    Tail all = Tail.of(stream);
    if (all.times() < least) {
      return new Settling(
          State.TOO_FEW,
          "%d readings at different times, and %d are needed: wait".formatted(all.times(), least),
          Optional.empty(),
          Optional.empty());
    }
    int shortest = all.holding(least);
    Line line =
        Shape.reachingBack(all, shortest, tail -> Optional.of(Line.through(tail))).orElseThrow();
    Optional<Decay> decay =
        Shape.reachingBack(all, Math.max(shortest, Decay.FEWEST), Decay::through)
            .filter(d -> d.bend() < doubt());
    return decided(line, decay);
  }

  private Settling decided(Line line, Optional<Decay> decay) {
    double drift = drift(line, decay);
    double allowed = tolerance.doubleValue() / 100;
    boolean trend = line.significance() < doubt();
    boolean near = decay.isEmpty() || toGoAtMost(decay.get()) <= allowed * decay.get().end();
    State state =
        drift <= allowed * line.tail().mean() && near
            ? State.SETTLED
            : trend || decay.filter(d -> Math.abs(d.toGo()) > allowed * d.end()).isPresent()
                ? State.NOT_SETTLED
                : State.SCATTERED;
    Trend shown = shown(line, drift);
    Optional<Extrapolation> end = decay.map(this::shown);
    String reason = new SettlingReason(this, shown, end, line, trend).text(state);
    return new Settling(state, reason, Optional.of(shown), end);
  }

  /** Returns the most that may still be to come by the line, in ohm. */
  private double drift(Line line, Optional<Decay> decay) {
    double slope = Math.abs(line.slope()) + quantile(line.freedom()) * line.slopeUncertainty();
    double back = line.tail().span();
    double horizon =
        decay.isPresent()
            ? Math.max(back, decay.get().timeConstant())
            : line.significance() < doubt() ? UNBENT * back : back;
    return slope * horizon + line.tail().resolution();
  }

  private double toGoAtMost(Decay decay) {
    return Math.abs(decay.toGo()) + quantile(decay.freedom()) * decay.toGoUncertainty();
  }

  private double doubt() {
    return BigDecimal.ONE.subtract(confidence).doubleValue();
  }

  private double quantile(int freedom) {
    return new TDistribution(null, freedom).inverseCumulativeProbability(1 - doubt() / 2);
  }

  private Trend shown(Line line, double drift) {
    return new Trend(
        line.tail().size(),
        rounded(line.statistics().getMean()),
        rounded(line.scatter()),
        rounded(line.slope()),
        rounded(line.slopeUncertainty()),
        rounded(line.significance()),
        rounded(drift / line.tail().mean() * 100));
  }

  /**
   * Shows an exponential. Its uncertainties are those of the covariance, times √(ν / (ν − 2)) for
   * the few degrees of freedom ν from which the scatter is known (JCGM 101:2008 6.4.9, memory).
   */
  private Extrapolation shown(Decay decay) {
    double widened = Math.sqrt(decay.freedom() / (decay.freedom() - 2.0));
    double share = Math.abs(decay.toGo()) / (decay.end() * tolerance.doubleValue() / 100);
    return new Extrapolation(
        decay.tail().size(),
        rounded(decay.end()),
        rounded(widened * decay.endUncertainty()),
        rounded(decay.timeConstant()),
        rounded(decay.toGo()),
        rounded(widened * decay.toGoUncertainty()),
        rounded(share > 1 ? decay.timeConstant() * FastMath.log(share) : 0));
  }

  private static BigDecimal rounded(double value) {
    return Figure.rounded(value, DIGITS);
  }
}
