package org.tallywire.format;

import static java.util.Map.entry;

import java.math.BigDecimal;
import java.math.MathContext;
import java.util.Map;
import java.util.Optional;
import org.tallywire.api.Unit;

/**
 * The SenML unit of a UCUM unit: the primary unit of the registry (RFC 8428, 12.1) and the factor
 * to it. Secondary units (RFC 8798) are never written, since a receiver need not know them; so mA
 * becomes A, and what has a primary unit needs no other. A unit that is not in this table has none.
 *
 * @param symbol in the registry
 * @param factor exact, but for the one of degrees, π/180 to 40 digits
 */
record SenmlUnit(String symbol, BigDecimal factor) {

  private static final MathContext DOUBLE = new MathContext(17);

  private static final Map<String, SenmlUnit> BY_UCUM =
      Map.ofEntries(
          entry("1", unit("/", "1")),
          entry("%", unit("/", "0.01")),
          entry("uOhm", unit("Ohm", "0.000001")),
          entry("mOhm", unit("Ohm", "0.001")),
          entry("Ohm", unit("Ohm", "1")),
          entry("kOhm", unit("Ohm", "1000")),
          entry("MOhm", unit("Ohm", "1000000")),
          entry("GOhm", unit("Ohm", "1000000000")),
          entry("TOhm", unit("Ohm", "1000000000000")),
          entry("uA", unit("A", "0.000001")),
          entry("mA", unit("A", "0.001")),
          entry("A", unit("A", "1")),
          entry("kA", unit("A", "1000")),
          entry("mV", unit("V", "0.001")),
          entry("V", unit("V", "1")),
          entry("kV", unit("V", "1000")),
          entry("W", unit("W", "1")),
          entry("kW", unit("W", "1000")),
          entry("J", unit("J", "1")),
          entry("W.h", unit("J", "3600")),
          entry("kW.h", unit("J", "3600000")),
          entry("V.A", unit("VA", "1")),
          entry("kV.A", unit("VA", "1000")),
          entry("Hz", unit("Hz", "1")),
          entry("ms", unit("s", "0.001")),
          entry("s", unit("s", "1")),
          entry("min", unit("s", "60")),
          entry("h", unit("s", "3600")),
          entry("Cel", unit("Cel", "1")),
          entry("K", unit("K", "1")),
          entry("%{RH}", unit("%RH", "1")),
          entry("pF", unit("F", "0.000000000001")),
          entry("nF", unit("F", "0.000000001")),
          entry("uF", unit("F", "0.000001")),
          entry("F", unit("F", "1")),
          entry("mH", unit("H", "0.001")),
          entry("H", unit("H", "1")),
          entry("S", unit("S", "1")),
          entry("Pa", unit("Pa", "1")),
          entry("kPa", unit("Pa", "1000")),
          entry("rad", unit("rad", "1")),
          entry("deg", unit("rad", "0.01745329251994329576923690768488612713443")));

  private static SenmlUnit unit(String symbol, String factor) {
    return new SenmlUnit(symbol, new BigDecimal(factor));
  }

  /** Returns the one for a unit, if SenML has it. */
  static Optional<SenmlUnit> of(Unit unit) {
    return Optional.ofNullable(BY_UCUM.get(unit.code()));
  }

  /** Returns a number in this unit as JSON writes it; of degrees 17 digits, more than a double. */
  String number(BigDecimal recorded) {
    BigDecimal number = recorded.multiply(factor);
    BigDecimal kept = factor.precision() > DOUBLE.getPrecision() ? number.round(DOUBLE) : number;
    return kept.signum() == 0 ? "0" : kept.toPlainString();
  }
}
