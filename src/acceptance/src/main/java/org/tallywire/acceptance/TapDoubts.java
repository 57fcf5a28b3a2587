package org.tallywire.acceptance;

import java.math.BigDecimal;
import java.math.MathContext;
import java.util.ArrayList;
import java.util.List;
import org.tallywire.acceptance.Rule.Certainty;
import org.tallywire.acceptance.TapChanger.Kind;
import org.tallywire.acceptance.TapChanger.Tap;
import org.tallywire.acceptance.figure.Percent;

/** Asks of the tap changers of a plate whether they are likely. All ranges are common practice. */
final class TapDoubts {

  private static final Rule PRACTICE =
      new Rule("usual tap changers", "common practice", Certainty.PRACTICE);

  /** How far a tap may be from the rated voltage, in %. */
  private static final BigDecimal FAR = BigDecimal.valueOf(20);

  /** What part of the mean step a step may be off it; plates round voltages. */
  private static final BigDecimal REGULAR = new BigDecimal("0.1");

  private static final int MOST_DE_ENERGISED = 9;
  private static final int LEAST_ON_LOAD = 5;

  private final Nameplate plate;
  private final List<Doubt> doubts = new ArrayList<>();

  private TapDoubts(Nameplate plate) {
    this.plate = plate;
  }

  static List<Doubt> of(Nameplate plate) {
    TapDoubts asked = new TapDoubts(plate);
    for (TapChanger changer : plate.tapChangers()) {
      if (changer.taps().size() > 1) {
        asked.positions(changer);
        asked.range(changer);
        asked.steps(changer);
      }
    }
    asked.ratios();
    return asked.doubts;
  }

  private void positions(TapChanger changer) {
    List<Integer> positions = changer.taps().stream().map(Tap::position).sorted().toList();
    int first = positions.get(0);
    int last = positions.get(positions.size() - 1);
    if (first != 1 || last - first + 1 != positions.size()) {
      doubt(
          changer,
          "positions %s do not run from 1 without a gap: check that every position is there"
              .formatted(positions));
    }
    int place = changer.taps().stream().map(Tap::position).toList().indexOf(changer.principal());
    if (positions.size() > 2 && (place == 0 || place == positions.size() - 1)) {
      doubt(
          changer,
          "the principal tap %d stands at the end of %d positions, and one between them is usual"
              .formatted(changer.principal(), positions.size()));
    }
    if (changer.kind() == Kind.DE_ENERGISED && positions.size() > MOST_DE_ENERGISED) {
      doubt(
          changer,
          "%d positions are many for a de-energised tap changer: check that it is not an on-load one"
              .formatted(positions.size()));
    }
    if (changer.kind() == Kind.ON_LOAD && positions.size() < LEAST_ON_LOAD) {
      doubt(
          changer,
          "%d positions are few for an on-load tap changer: check that it is not a de-energised one"
              .formatted(positions.size()));
    }
  }

  private void range(TapChanger changer) {
    BigDecimal rated = changer.voltage(changer.principal()).orElseThrow();
    for (Tap tap : changer.taps()) {
      BigDecimal off = Percent.off(tap.voltage(), rated);
      if (off.abs().compareTo(FAR) > 0) {
        doubt(
            changer,
            "tap %d with %s V is %s %% from the rated %s V, and up to %s %% is usual"
                .formatted(
                    tap.position(),
                    Figures.bare(tap.voltage()),
                    Figures.shown(off.round(new MathContext(3))),
                    Figures.bare(rated),
                    Figures.bare(FAR)));
      }
    }
  }

  /** Holds each step against the mean of all; a plate rounds each voltage to its last digit. */
  private void steps(TapChanger changer) {
    List<Tap> taps = changer.taps();
    BigDecimal all = taps.get(taps.size() - 1).voltage().subtract(taps.get(0).voltage());
    BigDecimal mean = all.divide(BigDecimal.valueOf(moves(taps)), MathContext.DECIMAL128);
    BigDecimal allowed = mean.abs().multiply(REGULAR).max(BigDecimal.ONE);
    for (int i = 1; i < taps.size(); i++) {
      Tap from = taps.get(i - 1);
      Tap to = taps.get(i);
      BigDecimal step = to.voltage().subtract(from.voltage());
      if (step.signum() == 0) {
        doubt(
            changer,
            "taps %d and %d have one voltage, %s V: right where a change-over position lies between, else a slip"
                .formatted(from.position(), to.position(), Figures.bare(to.voltage())));
      } else if (step.subtract(mean).abs().compareTo(allowed) > 0) {
        doubt(
            changer,
            "the step from tap %d to tap %d is %s V, and the mean of all is %s V: check these voltages"
                .formatted(
                    from.position(), to.position(), Figures.bare(step), Figures.shown(mean)));
      }
    }
  }

  /** Returns how many steps change the voltage; at least 1. */
  private static long moves(List<Tap> taps) {
    long moves = 0;
    for (int i = 1; i < taps.size(); i++) {
      moves += taps.get(i).voltage().compareTo(taps.get(i - 1).voltage()) == 0 ? 0 : 1;
    }
    return Math.max(1, moves);
  }

  private void ratios() {
    for (TapSetting setting : TapSetting.all(plate.tapChangers())) {
      BigDecimal ratio = plate.lineRatio(setting);
      if (ratio.compareTo(BigDecimal.ONE) < 0) {
        doubts.add(
            new Doubt(
                "tap changer",
                "On tap %s the ratio is %s, below 1: there the LV side is the higher one, and an instrument may not show it."
                    .formatted(setting.suffix().substring(1), Figures.shown(ratio)),
                PRACTICE));
      }
    }
  }

  private void doubt(TapChanger changer, String what) {
    doubts.add(
        new Doubt(
            "tap changer",
            "%s tap changer on %s: %s."
                .formatted(
                    changer.kind() == Kind.ON_LOAD ? "On-load" : "De-energised",
                    changer.side(),
                    what),
            PRACTICE));
  }
}
