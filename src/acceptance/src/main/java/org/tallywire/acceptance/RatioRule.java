package org.tallywire.acceptance;

import java.math.BigDecimal;
import java.math.MathContext;
import java.math.RoundingMode;
import java.util.List;
import java.util.Map;
import java.util.Optional;
import java.util.OptionalInt;
import java.util.concurrent.ConcurrentHashMap;
import java.util.stream.IntStream;
import org.tallywire.acceptance.TapChanger.Tap;
import org.tallywire.acceptance.figure.Percent;

/**
 * Which ratio a step should show, and within what limit. Sources: IEC 60076-1:1993+A1:1999, table
 * 1, item 2, for a tenth of the impedance (found); IEEE C57.12.00, 9.1, for the nearest turn
 * (memory). Safe for several threads.
 *
 * <p>The nearest turn counts where one turn of an LV phase winding has more than 0.5 % of its
 * voltage, that is below 200 turns. The expected ratio is then that of the nearest whole number of
 * HV turns to the LV turns; half an HV turn is the limit where that is more than the table's. Where
 * it is less the table's limit stays, because no instrument for this test tells such turns apart;
 * which winding's half turn is meant, and this choice, are the project's own reading (practice).
 */
final class RatioRule {

  /** From so many LV turns on, one turn has no more than 0.5 % of the voltage. */
  private static final int MANY_TURNS = 200;

  private static final BigDecimal HALF_A_TURN_IN_PERCENT = BigDecimal.valueOf(50);

  /** A limit that was computed keeps six digits, so that a record carries it whole. */
  private static final MathContext LIMIT = new MathContext(6, RoundingMode.HALF_EVEN);

  private final Nameplate plate;
  private final BigDecimal limit;
  private final boolean nearestTurn;
  private final String remark;

  /** What is expected of each step: said once, asked for at every reading. */
  private final Map<Step, Target> targets = new ConcurrentHashMap<>();

  RatioRule(Criterion criterion, Nameplate plate) {
    this.plate = plate;
    this.limit = limit(criterion, plate);
    boolean turnAsked = criterion.flag(Criterion.NEAREST_TURN);
    this.nearestTurn =
        turnAsked && plate.lvTurns().isPresent() && plate.lvTurns().getAsInt() < MANY_TURNS;
    boolean noImpedance =
        criterion.flag(Criterion.TENTH_OF_IMPEDANCE) && plate.impedancePercent().isEmpty();
    this.remark =
        (noImpedance ? "; the plate states no impedance to take a tenth of" : "")
            + (turnAsked && plate.lvTurns().isEmpty()
                ? "; the plate states no LV turns to find the nearest turn by"
                : "");
  }

  /**
   * What is expected of one step.
   *
   * @param ratio above zero
   * @param limit in %
   * @param shown the ratio rounded for the record
   * @param inWords from what a deviation is, and its limit: {@code 44.0013 (limit ±0.4 %)}
   */
  record Target(BigDecimal ratio, BigDecimal limit, BigDecimal shown, String inWords) {

    private static Target of(BigDecimal ratio, BigDecimal limit, String remark) {
      return new Target(
          ratio,
          limit,
          Figures.computed(ratio),
          Figures.shown(ratio) + " (limit ±" + Figures.bare(limit) + " %" + remark + ")");
    }
  }

  /** Returns what is expected of a step, if the plan expects a ratio of it. */
  Optional<Target> target(Step step) {
    return step.expected()
        .map(planned -> targets.computeIfAbsent(step, asked -> target(asked, planned)));
  }

  private Target target(Step step, BigDecimal planned) {
    return nearest(step, planned).orElseGet(() -> Target.of(planned, limit, remark));
  }

  /** Returns the ratio of the nearest turns; nothing on a tap that the plate does not have. */
  private Optional<Target> nearest(Step step, BigDecimal planned) {
    if (!nearestTurn) {
      return Optional.empty();
    }
    return setting(step, plate).map(setting -> nearest(setting, planned));
  }

  private Target nearest(TapSetting setting, BigDecimal planned) {
    BigDecimal turns = BigDecimal.valueOf(plate.lvTurns().orElseThrow());
    BigDecimal perVolt = turns.divide(plate.lvVoltage(), MathContext.DECIMAL128);
    BigDecimal hvTurns =
        plate
            .voltage(Side.HV, setting)
            .multiply(perVolt)
            .multiply(plate.group().windingRatioFactor());
    BigDecimal lvTurns = plate.voltage(Side.LV, setting).multiply(perVolt);
    BigDecimal wholeHv = whole(hvTurns);
    BigDecimal wholeLv = whole(lvTurns);
    BigDecimal ratio =
        planned
            .multiply(wholeHv)
            .multiply(lvTurns)
            .divide(wholeLv.multiply(hvTurns), MathContext.DECIMAL128);
    return Target.of(
        ratio,
        limit.max(HALF_A_TURN_IN_PERCENT.divide(wholeHv, LIMIT)),
        "; %s to %s turns, the nearest%s"
            .formatted(wholeHv.toPlainString(), wholeLv.toPlainString(), remark));
  }

  private static BigDecimal whole(BigDecimal turns) {
    return turns.setScale(0, RoundingMode.HALF_EVEN).max(BigDecimal.ONE);
  }

  /** Returns the setting of a step if the plate has it. */
  static Optional<TapSetting> setting(Step step, Nameplate plate) {
    List<TapChanger> changers = plate.tapChangers();
    boolean known =
        changers.size() > 1 == step.onLoadTap().isPresent()
            && IntStream.range(0, changers.size())
                .allMatch(
                    i ->
                        position(step, i).isPresent()
                            && changers.get(i).voltage(position(step, i).getAsInt()).isPresent());
    return known ? TapSetting.of(step) : Optional.empty();
  }

  /** Returns where a tap changer of the plate is in a step; the first one is 0. */
  static OptionalInt position(Step step, int changer) {
    return changer == 0 ? step.tap() : step.onLoadTap();
  }

  /** Returns a setting with one tap changer elsewhere. */
  static TapSetting moved(TapSetting setting, int changer, int position) {
    return changer == 0
        ? new TapSetting(position, setting.onLoadTap())
        : new TapSetting(setting.tap(), OptionalInt.of(position));
  }

  /** Returns the ratio in one setting from that in another. */
  static BigDecimal in(Nameplate plate, TapSetting to, BigDecimal ratio, TapSetting from) {
    return ratio
        .multiply(plate.lineRatio(to))
        .divide(plate.lineRatio(from), MathContext.DECIMAL128);
  }

  /**
   * Returns the tap whose ratio a figure is, if one tap changer alone were elsewhere than the step
   * says; for example {@code tap 2}. Its own it cannot be, since that has failed.
   */
  Optional<String> otherTap(
      Step step, BigDecimal measured, BigDecimal expected, Question question) {
    Optional<TapSetting> own = setting(step, plate);
    for (int i = 0; own.isPresent() && i < plate.tapChangers().size(); i++) {
      for (Tap tap : plate.tapChangers().get(i).taps()) {
        BigDecimal there = in(plate, moved(own.get(), i, tap.position()), expected, own.get());
        if (question.state(Percent.off(measured, there)).passed()) {
          return Optional.of((i == 0 ? "tap " : "on-load tap ") + tap.position());
        }
      }
    }
    return Optional.empty();
  }

  /**
   * Returns the limit in %: the table's, or a tenth of the plate's impedance where the table asks
   * for it and it is lower.
   */
  static BigDecimal limit(Criterion criterion, Nameplate nameplate) {
    BigDecimal stated = criterion.number(Criterion.LIMIT);
    return nameplate
        .impedancePercent()
        .filter(impedance -> criterion.flag(Criterion.TENTH_OF_IMPEDANCE))
        .map(impedance -> impedance.movePointLeft(1))
        .map(stated::min)
        .orElse(stated);
  }
}
