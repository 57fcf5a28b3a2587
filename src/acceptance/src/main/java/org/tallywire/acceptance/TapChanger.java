package org.tallywire.acceptance;

import java.math.BigDecimal;
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

  public TapChanger {
    taps = List.copyOf(taps);
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
   * @param position as engraved, from 1
   * @param voltage line-to-line, in V
   */
  public record Tap(int position, BigDecimal voltage) {}
}
