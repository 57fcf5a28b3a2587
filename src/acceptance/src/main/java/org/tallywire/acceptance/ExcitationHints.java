package org.tallywire.acceptance;

import java.math.BigDecimal;
import java.math.MathContext;
import java.math.RoundingMode;
import java.util.List;
import java.util.Optional;
import org.tallywire.acceptance.figure.Percent;

/**
 * What the pattern of three excitation currents may mean.
 *
 * @param drawn the highest first
 * @param limit by which two that are alike may differ, in %
 * @param limbs whether the phases are those of the limbs of a three-limb core, B on the centre one
 */
record ExcitationHints(List<Drawn> drawn, BigDecimal limit, boolean limbs) {

  /**
   * From which multiple of the next current on one is far higher than the others: more than any
   * form of sound core makes (practice).
   */
  private static final BigDecimal FAR = BigDecimal.valueOf(2);

  private static final String CENTRE = "B";

  /** The current of one phase, in mA. */
  record Drawn(String phase, BigDecimal current) {}

  /** Says that direct current came before. Source: FIST 3-30, 9.3.3 (found). */
  static Finding magnetised(BookedReading direct) {
    return Finding.hint(
        Finding.ALL,
        ("A direct-current reading (%s) came before these: residual magnetism may falsify them. If"
                + " they look odd, demagnetise the core and take all three again; measure"
                + " excitation before resistance.")
            .formatted(direct.step().id()));
  }

  /** Says that one phase alone draws far more than the others. */
  static Optional<Finding> farHigher(List<Drawn> drawn) {
    Drawn highest = drawn.get(0);
    Drawn next = drawn.get(1);
    if (highest.current().compareTo(next.current().multiply(FAR)) < 0) {
      return Optional.empty();
    }
    return Optional.of(
        Finding.hint(
            highest.phase(),
            ("Phase %s alone draws far more: %s times what phase %s draws. It may be a shorted turn"
                    + " on that limb: look at the ratio of phase %s, and compare with earlier"
                    + " records of this unit.")
                .formatted(
                    highest.phase(),
                    highest
                        .current()
                        .divide(next.current(), MathContext.DECIMAL64)
                        .setScale(1, RoundingMode.DOWN)
                        .toPlainString(),
                    next.phase(),
                    highest.phase())));
  }

  /**
   * Says what may be behind currents that should be alike and are not.
   *
   * @param bank whether all three should be
   * @param difference in %, of the smaller
   */
  Finding unlike(boolean bank, String difference) {
    Optional<Finding> far = farHigher(drawn);
    if (far.isPresent()) {
      return far.get();
    }
    Drawn highest = drawn.get(0);
    Drawn second = drawn.get(1);
    Drawn lowest = drawn.get(2);
    if (bank && gap(second, lowest).compareTo(gap(highest, second)) > 0) {
      return Finding.hint(
          lowest.phase(),
          ("Phase %s draws less than the other two, %s %% below phase %s. It may be a core of"
                  + " another make, or a lead that makes no contact: check the leads, and compare"
                  + " with earlier records of this unit.")
              .formatted(lowest.phase(), below(lowest, highest), highest.phase()));
    }
    return Finding.hint(
        highest.phase(),
        ("Phase %s draws %s %% more than phase %s, which should be like it. It may be a"
                + " shorted turn or a fault of the core in that phase, or a magnetised core:"
                + " check the leads, demagnetise, take all three again and compare with"
                + " earlier records of this unit.")
            .formatted(highest.phase(), difference, (bank ? lowest : second).phase()));
  }

  /** Says that the centre limb does not draw the lowest current, where the phases are limbs. */
  Optional<Finding> centreLimb(boolean failed) {
    Drawn lowest = drawn.get(2);
    boolean centreLowest =
        lowest.phase().equals(CENTRE) && lowest.current().compareTo(drawn.get(1).current()) < 0;
    // one that draws far more is another matter than the form of the core
    if (!limbs || centreLowest || farHigher(drawn).isPresent()) {
      return Optional.empty();
    }
    if (failed && apart(drawn.get(1), lowest)) {
      return Optional.of(
          Finding.hint(
              Finding.ALL,
              "All three currents differ, and the centre limb does not draw the lowest. This is"
                  + " seen with a magnetised core: demagnetise it, and take all three"
                  + " again."));
    }
    return Optional.of(
        Finding.hint(
            lowest.phase(),
            "Phase B, on the centre limb of a three-limb core, does not draw the lowest current;"
                + " phase %s does. Another form of core, a magnetised core or leads mixed up show"
                    .formatted(lowest.phase())
                + " this: compare with earlier records of this unit, and check the leads."));
  }

  private boolean apart(Drawn one, Drawn lower) {
    return Percent.off(one.current(), lower.current()).compareTo(limit) > 0;
  }

  private static BigDecimal gap(Drawn one, Drawn lower) {
    return one.current().subtract(lower.current());
  }

  private static String below(Drawn one, Drawn other) {
    return Percent.off(one.current(), other.current())
        .abs()
        .setScale(1, RoundingMode.HALF_EVEN)
        .toPlainString();
  }
}
