package org.tallywire.acceptance.winding;

import java.math.BigDecimal;
import java.util.List;

/**
 * What a plate says of a connection, and where the tap changer is meant to be.
 *
 * @param group the winding group
 * @param tap the position the readings were meant for
 * @param taps every position, with its ratio of rated voltages
 * @param tolerance how far a reading may be off and still fit, in %; above zero
 * @param core the form of the core; {@code FREE_LIMBS} if it is not known
 */
public record RatedConnection(
    WindingGroup group, int tap, List<TapRatio> taps, BigDecimal tolerance, CoreForm core) {

  /**
   * The ratio of rated voltages of one tap.
   *
   * @param position its number
   * @param ratio HV voltage by LV voltage, line-to-line where there are lines; above zero
   */
  public record TapRatio(int position, BigDecimal ratio) {

    public TapRatio {
      if (ratio.signum() <= 0) {
        throw new IllegalArgumentException(
            "the ratio of tap %d is %s, which is not above zero".formatted(position, ratio));
      }
    }
  }

  public RatedConnection {
    taps = List.copyOf(taps);
    if (tolerance.signum() <= 0) {
      throw new IllegalArgumentException(
          "the tolerance is %s %%, not above zero".formatted(tolerance));
    }
    if (taps.stream().map(TapRatio::position).distinct().count() != taps.size()) {
      throw new IllegalArgumentException("a tap position is there twice: " + taps);
    }
    ratio(tap, taps);
  }

  /** Returns the ratio of rated voltages of the tap the readings were meant for. */
  public BigDecimal ratio() {
    return ratio(tap, taps);
  }

  private static BigDecimal ratio(int tap, List<TapRatio> taps) {
    return taps.stream()
        .filter(t -> t.position() == tap)
        .map(TapRatio::ratio)
        .findFirst()
        .orElseThrow(
            () -> new IllegalArgumentException("tap %d is not among %s".formatted(tap, taps)));
  }
}
