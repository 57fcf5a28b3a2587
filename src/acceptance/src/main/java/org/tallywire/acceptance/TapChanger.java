package org.tallywire.acceptance;

import java.math.BigDecimal;
import java.util.ArrayList;
import java.util.List;
import java.util.Locale;
import java.util.Optional;

/**
 * A tap changer as the plate states it.
 *
 * @param side the winding that is tapped
 * @param kind whether it may be moved under voltage
 * @param taps every position with the line-to-line voltage of that side, in the plate's order
 * @param principal the position to which the rated voltage belongs
 */
public record TapChanger(Side side, Kind kind, List<Tap> taps, int principal) {

  private static final BigDecimal HUNDRED = BigDecimal.valueOf(100);

  /** The highest position that a plate may have. */
  public static final int LAST_POSITION = 99;

  public TapChanger {
    taps = List.copyOf(taps);
  }

  /**
   * Returns a tap changer with equal steps, in % of the rated voltage of its side: positions 1, 2,
   * 3 … from the first percentage on. The voltages are exact.
   *
   * @param first how far position 1 is above the rated voltage, in %
   * @param step from each position to the next, in %; below zero where the voltage falls
   * @param principal the position that must come out at 0 %
   * @throws IllegalArgumentException with a sentence, if it does not, or if there is no such
   *     position
   */
  public static TapChanger equalSteps(
      Side side,
      Kind kind,
      BigDecimal rated,
      int positions,
      BigDecimal first,
      BigDecimal step,
      int principal) {
    if (positions < 1 || positions > LAST_POSITION || principal < 1 || principal > positions) {
      throw new IllegalArgumentException(
          "principal position %d is not among %d positions, or those are not 1 to %d"
              .formatted(principal, positions, LAST_POSITION));
    }
    List<Tap> taps = new ArrayList<>();
    for (int position = 1; position <= positions; position++) {
      BigDecimal percent = first.add(step.multiply(BigDecimal.valueOf(position - 1L)));
      if (position == principal && percent.signum() != 0) {
        throw new IllegalArgumentException(
            "principal position %d comes out at %s %%, not at 0 %%: %s %% and %d steps of %s %%"
                .formatted(
                    principal,
                    Figures.bare(percent),
                    Figures.bare(first),
                    principal - 1,
                    Figures.bare(step)));
      }
      BigDecimal voltage = rated.multiply(HUNDRED.add(percent)).movePointLeft(2);
      taps.add(new Tap(position, plain(voltage.stripTrailingZeros())));
    }
    return new TapChanger(side, kind, taps, principal);
  }

  private static BigDecimal plain(BigDecimal voltage) {
    return voltage.scale() < 0 ? voltage.setScale(0) : voltage;
  }

  /** Returns the voltage of a position, if it has it. */
  public Optional<BigDecimal> voltage(int position) {
    return taps.stream().filter(t -> t.position() == position).map(Tap::voltage).findFirst();
  }

  /** When a tap changer may be moved. */
  public enum Kind {
    /** Only with the unit de-energised. */
    DE_ENERGISED,
    /** Under load. */
    ON_LOAD;

    /** Returns the word for it in records and nameplate files. */
    public String word() {
      return name().toLowerCase(Locale.ROOT).replace('_', '-');
    }

    /** Returns the kind with the given word, or nothing if there is none. */
    public static Optional<Kind> of(String word) {
      for (Kind kind : values()) {
        if (kind.word().equals(word)) {
          return Optional.of(kind);
        }
      }
      return Optional.empty();
    }
  }

  /**
   * A position of a tap changer.
   *
   * @param position as engraved, 1 to 99
   * @param voltage line-to-line, in V
   */
  public record Tap(int position, BigDecimal voltage) {}
}
