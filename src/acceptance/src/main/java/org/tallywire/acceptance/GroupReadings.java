package org.tallywire.acceptance;

import java.math.BigDecimal;
import java.math.MathContext;
import java.util.ArrayList;
import java.util.List;
import java.util.Optional;
import org.tallywire.acceptance.figure.Percent;
import org.tallywire.acceptance.winding.CoreForm;
import org.tallywire.acceptance.winding.LeadPlan;
import org.tallywire.acceptance.winding.Leads;
import org.tallywire.acceptance.winding.Observation;
import org.tallywire.acceptance.winding.Observation.Sense;
import org.tallywire.acceptance.winding.RatedConnection;
import org.tallywire.acceptance.winding.RatedConnection.TapRatio;
import org.tallywire.api.Quantity;
import org.tallywire.api.Reading;
import org.tallywire.api.Unit;
import org.tallywire.api.Value;

/** The ratios of all phases of one tap, as the winding package takes them. */
final class GroupReadings {

  private final TapSetting setting;
  private final List<One> phases;

  private GroupReadings(TapSetting setting, List<One> phases) {
    this.setting = setting;
    this.phases = phases;
  }

  /**
   * The reading of one phase.
   *
   * @param measured below zero where the pair is in opposition
   * @param expected by the plate
   * @param deviation in %
   * @param seen the same as an observation of the leads of the plan
   */
  record One(
      String phase,
      BigDecimal measured,
      BigDecimal expected,
      BigDecimal deviation,
      Observation seen) {}

  /** Takes the last reading of every phase of a tap, each with an expected ratio. */
  static GroupReadings of(List<BookedReading> phases, Nameplate plate) throws UndecidableException {
    TapSetting setting = known(phases.get(0).step(), plate);
    List<BigDecimal> measured =
        Figures.ofEach(phases, b -> Figures.number(b, Quantity.TURNS_RATIO, Unit.ONE));
    List<One> all = new ArrayList<>();
    for (int i = 0; i < phases.size(); i++) {
      all.add(one(phases.get(i), measured.get(i), plate, setting));
    }
    return new GroupReadings(setting, all);
  }

  private static TapSetting known(Step step, Nameplate plate) throws UndecidableException {
    Optional<TapSetting> setting = RatioRule.setting(step, plate);
    if (setting.isEmpty()) {
      throw new UndecidableException(
          "the plate has no tap like that of the step %s".formatted(step.id()),
          "Compare the tap changer on the nameplate with the one that was entered.");
    }
    return setting.get();
  }

  private static One one(
      BookedReading booked, BigDecimal number, Nameplate plate, TapSetting setting) {
    BigDecimal expected = booked.step().expected().orElseThrow();
    Optional<Sense> sense = sense(booked.reading(), number.signum() < 0);
    BigDecimal size = number.abs();
    BigDecimal measured =
        sense.filter(s -> s == Sense.IN_OPPOSITION).isPresent() ? size.negate() : size;
    LeadPlan plan = LeadPlan.of(plate.group());
    Leads leads = plan.leads(booked.step().phase());
    BigDecimal atTerminals =
        size.multiply(plate.lineRatio(setting))
            .multiply(plan.readingFactor())
            .divide(expected, MathContext.DECIMAL128);
    return new One(
        booked.step().phase(),
        measured,
        expected,
        Percent.off(measured, expected),
        size.signum() == 0
            ? Observation.nothing(leads)
            : new Observation(leads, Optional.of(atTerminals), sense));
  }

  /** A negative ratio says opposition by itself. */
  private static Optional<Sense> sense(Reading reading, boolean negative) {
    if (negative) {
      return Optional.of(Sense.IN_OPPOSITION);
    }
    return reading
        .measured(Quantity.PHASE_DISPLACEMENT)
        .flatMap(GroupReadings::degrees)
        .flatMap(Sense::ofDegrees);
  }

  /** Returns an angle that is within a full turn; another shows no sense. */
  private static Optional<BigDecimal> degrees(Value.Measured angle) {
    boolean plain = Math.abs((long) angle.number().scale()) <= Figures.MOST_DIGITS;
    return angle
        .in(Unit.DEGREE)
        .filter(degrees -> plain && degrees.abs().compareTo(PhaseCheck.FULL_TURN) <= 0);
  }

  /** Returns the phase that is farthest from what the plate promises; of several the first. */
  One worst() {
    One worst = phases.get(0);
    for (One one : phases) {
      if (one.deviation().abs().compareTo(worst.deviation().abs()) > 0) {
        worst = one;
      }
    }
    return worst;
  }

  /** Returns the phases whose deviation is within a limit, or those whose is not. */
  List<String> within(BigDecimal limit, boolean within) {
    return phases.stream()
        .filter(one -> one.deviation().abs().compareTo(limit) <= 0 == within)
        .map(One::phase)
        .toList();
  }

  /** Tells whether every phase shows whether it is in phase or in opposition. */
  boolean sensed() {
    return phases.stream().allMatch(one -> one.seen().sense().isPresent());
  }

  TapSetting setting() {
    return setting;
  }

  List<Observation> observations() {
    return phases.stream().map(One::seen).toList();
  }

  /**
   * Returns what the plate says. Of two tap changers the on-load one is taken to be the one that
   * may stand elsewhere, unless the other is off its principal position.
   */
  RatedConnection rated(BigDecimal tolerance, Nameplate plate) {
    List<TapChanger> changers = plate.tapChangers();
    int moved = changers.size() > 1 && setting.tap() == changers.get(0).principal() ? 1 : 0;
    List<TapRatio> taps =
        changers.get(moved).taps().stream()
            .map(
                t ->
                    new TapRatio(
                        t.position(),
                        plate.lineRatio(RatioRule.moved(setting, moved, t.position()))))
            .toList();
    return new RatedConnection(
        plate.group(),
        moved == 0 ? setting.tap() : setting.onLoadTap().orElseThrow(),
        taps,
        tolerance,
        plate.core() == org.tallywire.acceptance.CoreForm.THREE_LIMB
            ? CoreForm.THREE_LIMB
            : CoreForm.FREE_LIMBS);
  }
}
