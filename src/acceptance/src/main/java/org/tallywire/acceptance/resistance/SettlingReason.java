package org.tallywire.acceptance.resistance;

import java.math.BigDecimal;
import java.math.MathContext;
import java.util.Optional;
import org.tallywire.acceptance.resistance.Settling.Extrapolation;
import org.tallywire.acceptance.resistance.Settling.State;
import org.tallywire.acceptance.resistance.Settling.Trend;

/** Says in a sentence why a stream is taken as settled or not. */
record SettlingReason(
    SettlingRule rule, Trend trend, Optional<Extrapolation> end, Line line, boolean seen) {

  private static final MathContext SHOWN = new MathContext(3);

  String text(State state) {
    return switch (state) {
      case SETTLED ->
          "the last %d readings, over %s s, leave no more than %s %% to come (%s %% allowed)%s"
              .formatted(trend.readings(), span(), shown(trend.drift()), tolerance(), settledBut());
      case NOT_SETTLED -> end.map(this::moving).orElseGet(this::straight);
      case SCATTERED -> scattered();
      case TOO_FEW -> throw new IllegalStateException("too few readings have no trend");
    };
  }

  private String settledBut() {
    return seen && end.isEmpty() && trend.slope().signum() > 0
        ? "; they rise a little: the test current may be warming the winding"
        : "";
  }

  private String moving(Extrapolation end) {
    String toward =
        "%s toward %s Ω (standard uncertainty %s Ω), %s %% to go"
            .formatted(
                end.toGo().signum() < 0 ? "rises" : "falls",
                end.ohms().round(new MathContext(6)).toPlainString(),
                shown(end.uncertainty()),
                shown(ofMean(end.toGo().abs())));
    return end.secondsToWait().signum() > 0
        ? "%s: wait %s s".formatted(toward, shown(end.secondsToWait()))
        : toward + ", but the last readings do not agree yet: take more";
  }

  private String straight() {
    String moves =
        "%s by %s %% in %s s and does not bend toward an end that could be extrapolated"
            .formatted(
                trend.slope().signum() > 0 ? "rises" : "falls",
                shown(ofMean(trend.slope().abs()).multiply(BigDecimal.valueOf(line.tail().span()))),
                span());
    return trend.slope().signum() > 0
        ? moves + ": the test current may be warming the winding, take a smaller one or be quicker"
        : moves + ": wait";
  }

  private String scattered() {
    BigDecimal resolution = Figure.rounded(line.tail().resolution(), 3);
    if (ofMean(resolution).compareTo(rule.tolerance()) > 0) {
      return "the readings change in steps of %s Ω, %s %%, too coarse for a tolerance of %s %%"
          .formatted(shown(resolution), shown(ofMean(resolution)), tolerance());
    }
    return ("no trend in the last %d readings, but they scatter by %s %%, too much to be sure within"
            + " %s %%; farthest off is the one at %s s: look at the leads, and take more")
        .formatted(
            trend.readings(),
            shown(ofMean(trend.scatter())),
            tolerance(),
            Figure.plain(line.farthest().seconds()));
  }

  private BigDecimal ofMean(BigDecimal ohms) {
    return ohms.multiply(Figure.HUNDRED).divide(trend.mean(), MathContext.DECIMAL64);
  }

  private String tolerance() {
    return Figure.plain(rule.tolerance());
  }

  private String span() {
    return shown(Figure.rounded(line.tail().span(), 3));
  }

  private static String shown(BigDecimal value) {
    return value.round(SHOWN).stripTrailingZeros().toPlainString();
  }
}
