package org.tallywire.acceptance;

import java.math.BigDecimal;
import java.math.MathContext;
import java.math.RoundingMode;
import java.util.ArrayList;
import java.util.LinkedHashSet;
import java.util.List;
import java.util.Set;
import org.tallywire.acceptance.Verdict.State;
import org.tallywire.api.Quantity;
import org.tallywire.api.Reading;
import org.tallywire.api.Unit;
import org.tallywire.api.Value;

/** Takes numbers out of readings and rounds those that were computed. */
final class Figures {

  private static final BigDecimal LEAST_IN_OHMS = new BigDecimal("0.1");
  private static final MathContext KEPT = new MathContext(8, RoundingMode.HALF_EVEN);
  private static final MathContext SHOWN = new MathContext(6, RoundingMode.HALF_EVEN);
  private static final int DEVIATION_DECIMALS = 6;
  private static final int SHOWN_DECIMALS = 3;
  private static final int MOST_DECIMALS = 40;
  static final long MOST_DIGITS = 64;

  private Figures() {}

  /** Takes a figure out of one reading. */
  interface Taking {
    BigDecimal from(BookedReading booked) throws UndecidableException;
  }

  /** Returns the number of a quantity in a unit, exactly; a settled reading has it. */
  static BigDecimal number(BookedReading booked, Quantity quantity, Unit unit)
      throws UndecidableException {
    Reading reading = booked.reading();
    if (reading.status() != Reading.Status.OK) {
      throw new UndecidableException(
          "the instrument calls its reading %s".formatted(reading.status().word()),
          "Take it again.");
    }
    for (Value value : reading.values()) {
      if (value.quantity().equals(quantity)) {
        return number(value, unit);
      }
    }
    throw new UndecidableException(
        "the reading has no %s".formatted(quantity),
        "Take it again with an instrument that gives it, or use a criteria table without this"
            + " criterion.");
  }

  private static BigDecimal number(Value value, Unit unit) throws UndecidableException {
    if (value instanceof Value.Missing missing) {
      throw new UndecidableException(
          "the instrument gives %s for %s".formatted(missing.reason().word(), value.quantity()),
          value.quantity().equals(Quantity.TURNS_RATIO)
              ? "Switch the test voltage off, check that every lead, that of a neutral too, makes"
                  + " contact and that HV is excited, and take it again."
              : "Check leads and range, and take it again.");
    }
    return converted((Value.Measured) value, unit);
  }

  private static BigDecimal converted(Value.Measured measured, Unit unit)
      throws UndecidableException {
    BigDecimal number = measured.number();
    if (number.precision() > MOST_DIGITS || Math.abs((long) number.scale()) > MOST_DIGITS) {
      throw new UndecidableException(
          "the %s has more than %d digits".formatted(measured.quantity(), MOST_DIGITS),
          "Check the instrument's driver, and take it again.");
    }
    return measured
        .in(unit)
        .orElseThrow(
            () ->
                new UndecidableException(
                    "the %s is in %s, which is no unit of what is judged in %s"
                        .formatted(measured.quantity(), measured.unit(), unit),
                    "Check the instrument's driver, and take it again."));
  }

  /** Returns a number that can only be above zero. */
  static BigDecimal positive(BookedReading booked, Quantity quantity, Unit unit)
      throws UndecidableException {
    BigDecimal number = number(booked, quantity, unit);
    if (number.signum() <= 0) {
      throw new UndecidableException(
          "the %s is %s %s, which is not above zero"
              .formatted(quantity, number.toPlainString(), unit),
          "Check the leads, and take it again.");
    }
    return number;
  }

  /** Takes a figure out of each reading, or says for every phase that has none why. */
  static List<BigDecimal> ofEach(List<BookedReading> phases, Taking taking)
      throws UndecidableException {
    List<BigDecimal> taken = new ArrayList<>();
    List<String> refused = new ArrayList<>();
    Set<String> next = new LinkedHashSet<>();
    for (BookedReading booked : phases) {
      try {
        taken.add(taking.from(booked));
      } catch (UndecidableException e) {
        refused.add("in phase %s %s".formatted(booked.step().phase(), e.reason()));
        next.add(e.next());
      }
    }
    if (!refused.isEmpty()) {
      throw new UndecidableException(String.join("; ", refused), String.join(" ", next));
    }
    return taken;
  }

  /** Rounds a computed figure for the record: 8 significant digits, ties to even. */
  static BigDecimal computed(BigDecimal figure) {
    return plain(figure.round(KEPT));
  }

  /** Rounds a deviation for the record: 6 decimals, ties to even. */
  static BigDecimal deviation(BigDecimal figure) {
    return figure.setScale(DEVIATION_DECIMALS, RoundingMode.HALF_EVEN);
  }

  /** Returns a figure for a sentence: as it is if short, else 6 significant digits. */
  static String shown(BigDecimal figure) {
    return plain(figure.round(SHOWN)).toPlainString();
  }

  /** Returns a resistance in ohms for a sentence, below 0.1 Ω in milliohms. */
  static String ohms(BigDecimal ohms) {
    return ohms.abs().compareTo(LEAST_IN_OHMS) < 0
        ? shown(ohms.movePointRight(3)) + " mΩ"
        : shown(ohms) + " Ω";
  }

  /** Returns a number of a table or plate for a sentence, without trailing zeros. */
  static String bare(BigDecimal number) {
    return number.signum() == 0 ? "0" : number.stripTrailingZeros().toPlainString();
  }

  /**
   * Returns a deviation for a sentence: 3 decimals, more where those would seem to be on the other
   * side of a limit.
   */
  static String shown(BigDecimal deviation, Question question) {
    return shown(deviation, question.state(deviation), question);
  }

  private static String shown(BigDecimal deviation, State state, Question question) {
    int decimals = SHOWN_DECIMALS;
    BigDecimal shown = deviation.setScale(decimals, RoundingMode.HALF_EVEN);
    while (question.state(shown) != state && decimals < MOST_DECIMALS) {
      decimals++;
      shown = deviation.setScale(decimals, RoundingMode.HALF_EVEN);
    }
    return shown.toPlainString();
  }

  /** Returns a deviation for a sentence, with its sign. */
  static String signed(BigDecimal deviation, Question question) {
    return signed(deviation, question.state(deviation), question);
  }

  /** Returns a deviation for a sentence, with its sign; its state is known already. */
  static String signed(BigDecimal deviation, State state, Question question) {
    String shown = shown(deviation, state, question);
    return shown.startsWith("-") ? shown : "+" + shown;
  }

  /** Returns a state for a sentence; a conditional one says why. */
  static String words(State state, Question question) {
    String word = state.word().replace('-', ' ');
    boolean conditional = state == State.CONDITIONAL_PASS || state == State.CONDITIONAL_FAIL;
    return conditional
        ? "%s, nearer to the limit than the uncertainty of %s %s"
            .formatted(
                word,
                bare(question.allowance().expanded()),
                unitWord(question.criterion().kind().unit()))
        : word;
  }

  static String unitWord(Unit unit) {
    return unit.equals(Unit.DEGREE) ? "degrees" : unit.code();
  }

  private static BigDecimal plain(BigDecimal figure) {
    return figure.scale() < 0 ? figure.setScale(0) : figure;
  }
}
