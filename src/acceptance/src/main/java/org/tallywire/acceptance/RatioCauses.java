package org.tallywire.acceptance;

import java.math.BigDecimal;
import java.math.MathContext;
import java.util.ArrayList;
import java.util.List;
import java.util.Optional;
import java.util.stream.Collectors;
import org.tallywire.acceptance.RatioRule.Target;
import org.tallywire.acceptance.figure.Percent;
import org.tallywire.acceptance.figure.Roots;
import org.tallywire.acceptance.winding.LeadPlan;
import org.tallywire.acceptance.winding.Leads;
import org.tallywire.api.Quantity;
import org.tallywire.api.Unit;

/**
 * What may be behind a ratio that failed, from what it is itself and from the other readings of its
 * tap and of its phase. Turns lost on LV make a ratio high, on HV low (derived); the rest is common
 * practice.
 */
final class RatioCauses {

  /** How near to a mistaken factor a ratio must come for it to be named, in %. */
  private static final BigDecimal NEAR = BigDecimal.ONE;

  /** From a ratio so near to 1 its inverse cannot be told. */
  private static final BigDecimal LEAST_INVERTIBLE = new BigDecimal("1.05");

  private final RatioRule rule;
  private final Nameplate plate;
  private final Question question;
  private final Step step;
  private final BigDecimal measured;
  private final BigDecimal expected;
  private final BigDecimal deviation;

  /**
   * A likely cause.
   *
   * @param conclusion ends the sentence; empty if there is none
   * @param others the readings it was drawn from, beside the one judged
   */
  record Cause(String conclusion, Finding finding, String next, List<BookedReading> others) {}

  /** Another reading of the phase or tap, beside the one judged. */
  private record Other(BookedReading booked, boolean right, boolean same) {

    String phase() {
      return booked.step().phase();
    }
  }

  RatioCauses(
      RatioRule rule,
      Nameplate plate,
      Question question,
      BookedReading booked,
      BigDecimal measured,
      BigDecimal expected) {
    this.rule = rule;
    this.plate = plate;
    this.question = question;
    this.step = booked.step();
    this.measured = measured;
    this.expected = expected;
    this.deviation = Percent.off(measured, expected);
  }

  Cause likeliest(Evidence evidence) {
    Optional<Cause> ofItself = factor();
    if (ofItself.isPresent()) {
      return ofItself.get();
    }
    List<Other> phases = others(evidence.phases(step));
    List<Other> taps = others(evidence.taps(step));
    Cause cause = compared(phases, taps, rule.otherTap(step, measured, expected, question));
    List<BookedReading> others = new ArrayList<>();
    phases.forEach(other -> others.add(other.booked()));
    taps.forEach(other -> others.add(other.booked()));
    return new Cause(cause.conclusion(), cause.finding(), cause.next(), others);
  }

  /** Returns those of some readings that have a ratio, without the one judged. */
  private List<Other> others(List<BookedReading> readings) {
    List<Other> others = new ArrayList<>();
    for (BookedReading booked : readings) {
      Optional<Target> target = rule.target(booked.step());
      if (booked.step().id().equals(step.id()) || target.isEmpty()) {
        continue;
      }
      try {
        BigDecimal ratio = Figures.number(booked, Quantity.TURNS_RATIO, Unit.ONE);
        BigDecimal off = Percent.off(ratio, target.get().ratio());
        others.add(new Other(booked, question.state(off).passed(), isSame(off)));
      } catch (UndecidableException e) {
        // tells nothing of this one
      }
    }
    return others;
  }

  /** Tells whether a deviation is the same: within the uncertainty, or a tenth of it (practice). */
  private boolean isSame(BigDecimal other) {
    BigDecimal near = question.allowance().expanded().max(deviation.abs().movePointLeft(1));
    return !question.state(other).passed() && other.subtract(deviation).abs().compareTo(near) <= 0;
  }

  private Optional<Cause> factor() {
    if (measured.signum() == 0) {
      return Optional.of(
          alone(
              "nothing is measured, so look for an open lead",
              "Phase %s reads zero: a lead is open, or the LV pair is shorted."));
    }
    if (measured.signum() < 0) {
      return Optional.of(
          alone(
              "the ratio is negative, so look for a reversed pair of leads",
              "Phase %s reads a negative ratio: one pair of leads is reversed, or the winding is."));
    }
    BigDecimal factor = measured.divide(expected, MathContext.DECIMAL128);
    if (isNear(factor, Roots.THREE) || isNear(factor.multiply(Roots.THREE), BigDecimal.ONE)) {
      return Optional.of(
          alone(
              "off by about the square root of 3, so check the instrument's group and the leads",
              "Phase %s is off by about the square root of 3: check that the instrument is set to"
                  + " group "
                  + plate.group()
                  + " and that the leads are on "
                  + step.terminals()
                  + ", and take it again."));
    }
    if (expected.compareTo(LEAST_INVERTIBLE) >= 0
        && isNear(measured.multiply(expected), BigDecimal.ONE)) {
      return Optional.of(
          new Cause(
              "it is one by the expected ratio, so look whether HV and LV leads are exchanged",
              hint(
                  "Phase %s reads one by the expected ratio: the HV and LV leads are exchanged, or"
                      + " the instrument shows LV by HV."),
              "Switch the test voltage off before you touch a lead: excited from LV, the HV"
                  + " terminals carry the ratio times the test voltage. Then put the exciting leads"
                  + " on HV and take it again.",
              List.of()));
    }
    return Optional.empty();
  }

  private Cause compared(List<Other> phases, List<Other> taps, Optional<String> likeTap) {
    boolean allPhases = !phases.isEmpty() && phases.stream().allMatch(Other::same);
    boolean everyTap = !taps.isEmpty() && taps.stream().allMatch(Other::same);
    boolean otherPhaseRight = phases.stream().anyMatch(Other::right);
    if (allPhases) {
      return onAllPhases(phases, everyTap, likeTap);
    }
    if (likeTap.isPresent() && !otherPhaseRight) {
      return likeOtherTap(likeTap.get(), everyTap);
    }
    if (everyTap && likeTap.isPresent()) {
      return onePositionOff(likeTap.get(), taps);
    }
    if (everyTap) {
      return onEveryTap(phases, taps);
    }
    boolean otherTapsRight = !taps.isEmpty() && taps.stream().allMatch(Other::right);
    if (otherTapsRight || likeTap.isPresent()) {
      return onThisTap(otherTapsRight, likeTap);
    }
    return unknown();
  }

  private Cause onAllPhases(List<Other> phases, boolean everyTap, Optional<String> likeTap) {
    boolean all = phases.size() + 1 == Step.PHASES.size();
    String alike =
        all
            ? "the same on all phases"
            : "the same on phase "
                + phases.stream().map(Other::phase).collect(Collectors.joining());
    if (likeTap.isPresent()) {
      return cause(
          "%s, like %s, so look at which position the tap changer really is on"
              .formatted(alike, likeTap.get()),
          Finding.hint(
              Finding.ALL,
              "The phases read like %s, not %s: the tap changer is on another position."
                  .formatted(likeTap.get(), tap())),
          ("Switch the test voltage off. With the unit de-energised, set the tap changer to %s, and"
                  + " take all phases again.")
              .formatted(tap()));
    }
    if (everyTap) {
      return cause(
          alike + " and on every tap, so look for a wrong plate or setting of the instrument",
          Finding.hint(
              Finding.ALL,
              ("The phases are off alike on every tap: the voltages or the group (%s) on the"
                      + " nameplate are wrong, or the instrument is set to another group or shows"
                      + " another kind of ratio.")
                  .formatted(plate.group())),
          "Compare the nameplate that was entered with the one on the unit, and the instrument's"
              + " setting with the plan.");
    }
    return cause(
        alike + ", so look for a wrong tap position or a wrong plate",
        Finding.hint(
            Finding.ALL,
            "The phases are off alike on %s: a wrong tap position or nameplate.".formatted(tap())),
        ("Switch the test voltage off. With the unit de-energised, see that the tap changer is on"
                + " %s; compare the nameplate; take all phases again.")
            .formatted(tap()));
  }

  private Cause likeOtherTap(String other, boolean everyTap) {
    return cause(
        everyTap
            ? "like %s, and off alike on every tap, so look at the tap changer's position indicator"
                .formatted(other)
            : "like %s, so look at which position the tap changer really is on".formatted(other),
        hint(
            "Phase %s reads like "
                + other
                + ", not "
                + tap()
                + ": look at which position the tap changer really is on; if all phases do so, set"
                + " it right and take them again."
                + (everyTap
                    ? " If the other phases do not, look for %s.".formatted(shorted())
                    : "")),
        ("Switch the test voltage off. With the unit de-energised, look at which position the tap"
                + " changer is on, set it to %s, and take it again.")
            .formatted(tap()));
  }

  private Cause onEveryTap(List<Other> phases, List<Other> taps) {
    List<String> right = phases.stream().filter(Other::right).map(Other::phase).toList();
    String plateToo =
        right.isEmpty()
            ? "or a wrong plate"
            : "(a wrong plate would show on phase %s too)".formatted(String.join(" and ", right));
    return cause(
        "the same on every tap%s, so look for %s %s"
            .formatted(all(taps) ? "" : " so far", shorted(), plateToo),
        hint(
            "Phase %s reads "
                + (low() ? "low" : "high")
                + " alike on every tap: "
                + shorted()
                + (right.isEmpty() ? ", a wrong nameplate" : "")
                + ", or leads on the wrong terminals."),
        ("Switch the test voltage off, check the leads on %s, and take it again; if it stays,"
                + " compare the excitation currents of the phases, and do not put the unit into"
                + " service before the winding has been looked at.")
            .formatted(step.terminals()));
  }

  /** Another phase of the tap is right, so that the tap changer as a whole stands where it says. */
  private Cause onePositionOff(String other, List<Other> taps) {
    return cause(
        "this phase alone, like %s, and off alike on every tap%s, so look at this phase's contact and leads in the tap changer, or for %s"
            .formatted(other, all(taps) ? "" : " so far", shorted()),
        hint(
            "Phase %s reads like "
                + other
                + ", not "
                + tap()
                + ", and is off alike on every tap, while another phase is right: its contact in the"
                + " tap changer sits on another position, its tap leads are joined wrongly, or there"
                + " are "
                + shorted()
                + "."),
        "Switch the test voltage off. With the unit de-energised, look at the contact and the leads"
            + " of this phase in the tap changer, and take it again; compare the excitation"
            + " currents of the phases, and do not put the unit into service before it is"
            + " known which it is.");
  }

  private Cause onThisTap(boolean otherTapsRight, Optional<String> likeTap) {
    String like = likeTap.map(tap -> "like " + tap).orElse("");
    String alone = otherTapsRight ? "alone on this tap" : "this phase alone";
    return cause(
        "%s%s, so look at the leads and the contact of %s"
            .formatted(alone, like.isEmpty() ? "" : " and " + like, tap()),
        hint(
            "Phase %s is off on "
                + tap()
                + (otherTapsRight ? " and right on the other taps: " : ": ")
                + "a fault of this tap's leads or contact in that phase, or a lead that has come"
                + " loose."
                + (like.isEmpty() ? "" : " It reads " + like + ".")),
        ("Switch the test voltage off. With the unit de-energised, check the leads on %s, work the"
                + " tap changer through its positions, set it to %s, and take it again.")
            .formatted(step.terminals(), tap()));
  }

  private Cause unknown() {
    return cause(
        "",
        hint(
            "Phase %s reads "
                + (low() ? "low" : "high")
                + ". Compare it with the other phases on this tap and with this phase on the other"
                + " taps: alone on every tap it may be "
                + shorted()
                + "; alone on this tap a fault of the tap's leads or contact; all phases alike a"
                + " wrong tap position or nameplate. Check the leads and take it again."),
        "Switch the test voltage off, check the leads and, with the unit de-energised, the tap"
            + " position, and take it again; then take the other phases and taps and compare.");
  }

  private Cause alone(String conclusion, String sentence) {
    return cause(
        conclusion,
        hint(sentence),
        "Switch the test voltage off, check the leads on %s, and take it again."
            .formatted(step.terminals()));
  }

  private static Cause cause(String conclusion, Finding finding, String next) {
    return new Cause(conclusion, finding, next, List.of());
  }

  /** Returns a hint on this phase; {@code %s} in it becomes the phase. */
  private Finding hint(String sentence) {
    return Finding.hint(step.phase(), sentence.replace("%s", step.phase()));
  }

  /** Names the phase winding where the leads reach one alone, else the terminals. */
  private String shorted() {
    String side = low() ? Step.HV : Step.LV;
    LeadPlan plan = LeadPlan.of(plate.group());
    if (plan.namesTheLimb() || !plate.group().phases().contains(step.phase())) {
      return "shorted turns in %s %s".formatted(side, step.phase());
    }
    Leads leads = plan.leads(step.phase());
    return "shorted turns in %s between %s and %s"
        .formatted(
            side,
            (low() ? leads.excitePlus() : leads.measurePlus()).iec(),
            (low() ? leads.exciteMinus() : leads.measureMinus()).iec());
  }

  private boolean low() {
    return measured.compareTo(expected) < 0;
  }

  /** Tells whether these and the one judged are all taps of the plate. */
  private boolean all(List<Other> taps) {
    return taps.size() + 1 == TapSetting.all(plate.tapChangers()).size();
  }

  private String tap() {
    String tap = step.tap().isPresent() ? "tap " + step.tap().getAsInt() : "this tap";
    return step.onLoadTap().isPresent() ? tap + " on-load tap " + step.onLoadTap().getAsInt() : tap;
  }

  private static boolean isNear(BigDecimal factor, BigDecimal wanted) {
    return Percent.off(factor, wanted).abs().compareTo(NEAR) <= 0;
  }
}
