package org.tallywire.report;

import java.math.BigDecimal;
import java.math.MathContext;
import java.util.ArrayList;
import java.util.List;

/** Round numbers along a scale: 1, 2 or 5 times a power of ten apart. */
final class Ticks {

  private static final int WANTED = 3;
  private static final MathContext SHOWN = new MathContext(6);

  private Ticks() {}

  static List<Double> of(double low, double high) {
    double rough = (high - low) / WANTED;
    double power = Math.pow(10, Math.floor(Math.log10(rough)));
    double ratio = rough / power;
    double step = power * (ratio < 1.5 ? 1 : ratio < 3.5 ? 2 : ratio < 7.5 ? 5 : 10);
    List<Double> ticks = new ArrayList<>();
    for (long i = (long) Math.ceil(low / step); i * step <= high; i++) {
      ticks.add(i * step);
    }
    return ticks;
  }

  /** Returns a number of a scale, with 6 digits at most. */
  static String text(double value) {
    BigDecimal number = new BigDecimal(value).round(SHOWN);
    return number.signum() == 0 ? "0" : number.stripTrailingZeros().toPlainString();
  }
}
