package org.tallywire.acceptance;

import java.math.BigDecimal;
import java.math.MathContext;
import java.util.ArrayList;
import java.util.Collections;
import java.util.List;
import java.util.Optional;
import org.tallywire.acceptance.TapChanger.Tap;
import org.tallywire.acceptance.figure.Percent;

/** The ratios of one phase over some taps of one tap changer, in the plate's order of taps. */
final class TapLadder {

  private static final BigDecimal FOUR = BigDecimal.valueOf(4);

  private final TapChanger changer;
  private final List<BigDecimal> expected;
  private final List<Rung> rungs;
  private final List<Stride> strides = new ArrayList<>();

  /** One tap. */
  record Rung(int position, BigDecimal measured, BigDecimal expected) {}

  /**
   * From one tap to the next that was measured.
   *
   * @param off measured minus expected, in % of the expected ratio on the principal tap
   */
  record Stride(int from, int to, BigDecimal measured, BigDecimal expected, BigDecimal off) {}

  /**
   * What may have been done wrong.
   *
   * @param conclusion how the sentence ends
   * @param inChanger whether it is to be looked for in the tap changer
   */
  record Mistake(String conclusion, String hint, boolean inChanger) {}

  /**
   * Makes one.
   *
   * @param expected the expected ratio on every tap of the changer
   * @param rungs two or more
   */
  TapLadder(TapChanger changer, List<BigDecimal> expected, List<Rung> rungs) {
    this.changer = changer;
    this.expected = List.copyOf(expected);
    this.rungs = List.copyOf(rungs);
    BigDecimal principal = expected.get(place(changer.principal()));
    for (int i = 1; i < rungs.size(); i++) {
      Rung from = rungs.get(i - 1);
      Rung to = rungs.get(i);
      BigDecimal measured = to.measured().subtract(from.measured());
      BigDecimal promised = to.expected().subtract(from.expected());
      BigDecimal off =
          measured.subtract(promised).movePointRight(2).divide(principal, MathContext.DECIMAL128);
      strides.add(new Stride(from.position(), to.position(), measured, promised, off));
    }
  }

  List<Stride> strides() {
    return List.copyOf(strides);
  }

  /** Returns the stride that is farthest off; of several the first. */
  Stride worst() {
    Stride worst = strides.get(0);
    for (Stride stride : strides) {
      if (stride.off().abs().compareTo(worst.off().abs()) > 0) {
        worst = stride;
      }
    }
    return worst;
  }

  /**
   * Returns what one mistake explains every tap: each reads, to a quarter of the smallest step,
   * like some tap of the plate, and which taps these are shows two exchanged, or a step that was
   * not made or made twice. Common practice.
   */
  Optional<Mistake> mistake() {
    Optional<Mistake> alike = alike();
    if (alike.isPresent()) {
      return alike;
    }
    List<Integer> shifts = new ArrayList<>();
    for (Rung rung : rungs) {
      Optional<Integer> like = like(rung);
      if (like.isEmpty()) {
        return Optional.empty();
      }
      shifts.add(like.get() - place(rung.position()));
    }
    Optional<Mistake> exchanged = exchanged(shifts);
    return exchanged.isPresent() ? exchanged : moved(shifts);
  }

  /**
   * Finds every tap off in one proportion, to a tenth of it: then every step is too, and the tap
   * changer is not the cause. Common practice.
   */
  private Optional<Mistake> alike() {
    List<BigDecimal> off =
        rungs.stream().map(r -> Percent.off(r.measured(), r.expected())).toList();
    BigDecimal least = Collections.min(off);
    BigDecimal most = Collections.max(off);
    BigDecimal near = least.abs().min(most.abs()).movePointLeft(1);
    if (least.signum() * most.signum() <= 0 || most.subtract(least).compareTo(near) > 0) {
      return Optional.empty();
    }
    return Optional.of(
        new Mistake(
            "every tap is off in the same proportion",
            "Every tap is off by %s to %s %%, and every step with it, so that the tap changer is not the likely cause: look at the verdict on the ratio of this phase itself."
                .formatted(Figures.shown(least), Figures.shown(most)),
            false));
  }

  private Optional<Mistake> exchanged(List<Integer> shifts) {
    for (int i = 1; i < shifts.size(); i++) {
      int apart = place(rungs.get(i).position()) - place(rungs.get(i - 1).position());
      long right = shifts.stream().filter(shift -> shift == 0).count();
      if (shifts.get(i - 1) == apart && shifts.get(i) == -apart && right == shifts.size() - 2) {
        int one = rungs.get(i - 1).position();
        int other = rungs.get(i).position();
        return Optional.of(
            new Mistake(
                "taps %d and %d read like each other".formatted(one, other),
                ("Taps %d and %d read like each other: their leads are exchanged in the tap"
                        + " changer, or the readings were booked to the wrong taps.")
                    .formatted(one, other),
                true));
      }
    }
    return Optional.empty();
  }

  /** Finds the one place from which on all taps read one tap further or less far. */
  private Optional<Mistake> moved(List<Integer> shifts) {
    int at = 0;
    for (int i = 1; i < shifts.size(); i++) {
      if (!shifts.get(i).equals(shifts.get(i - 1))) {
        if (at > 0) {
          return Optional.empty();
        }
        at = i;
      }
    }
    if (at == 0 || Math.abs(shifts.get(at) - shifts.get(at - 1)) != 1) {
      return Optional.empty();
    }
    boolean missing = shifts.get(at) < shifts.get(at - 1);
    int from = rungs.get(at - 1).position();
    int to = rungs.get(at).position();
    return Optional.of(
        missing
            ? new Mistake(
                "the tap changer seems not to have moved from tap %d to tap %d".formatted(from, to),
                ("Between tap %d and tap %d one step is missing: the tap changer did not move, or"
                        + " its position indicator is one off from there on.")
                    .formatted(from, to),
                true)
            : new Mistake(
                "one step too many was made from tap %d to tap %d".formatted(from, to),
                ("Between tap %d and tap %d there is one step too many: the tap changer moved"
                        + " twice, or its position indicator is one off from there on.")
                    .formatted(from, to),
                true));
  }

  private int place(int position) {
    return changer.taps().stream().map(Tap::position).toList().indexOf(position);
  }

  /** Returns the place of the tap whose expected ratio a measured one comes near to. */
  private Optional<Integer> like(Rung rung) {
    BigDecimal near = smallestStep().divide(FOUR, MathContext.DECIMAL128);
    for (int i = 0; i < expected.size(); i++) {
      if (rung.measured().subtract(expected.get(i)).abs().compareTo(near) < 0) {
        return Optional.of(i);
      }
    }
    return Optional.empty();
  }

  private BigDecimal smallestStep() {
    BigDecimal smallest = expected.get(1).subtract(expected.get(0)).abs();
    for (int i = 2; i < expected.size(); i++) {
      smallest = smallest.min(expected.get(i).subtract(expected.get(i - 1)).abs());
    }
    return smallest;
  }
}
