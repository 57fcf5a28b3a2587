package org.tallywire.api;

import static java.util.Map.entry;

import java.math.BigDecimal;
import java.util.Map;
import java.util.regex.Pattern;

/**
 * A unit of measurement by its case-sensitive UCUM code (ucum-essence 2.2). Any well-formed code is
 * carried; only the codes of the closed table below can be converted.
 *
 * @param code printable ASCII without blanks, 1 to 32 characters
 */
public record Unit(String code) {

  private static final Pattern CODE = Pattern.compile("[!-~]{1,32}");

  public static final Unit ONE = new Unit("1");
  public static final Unit PERCENT = new Unit("%");
  public static final Unit OHM = new Unit("Ohm");
  public static final Unit MEGOHM = new Unit("MOhm");
  public static final Unit AMPERE = new Unit("A");
  public static final Unit MILLIAMPERE = new Unit("mA");
  public static final Unit VOLT = new Unit("V");
  public static final Unit DEGREE = new Unit("deg");
  public static final Unit CELSIUS = new Unit("Cel");
  public static final Unit WATT = new Unit("W");

  /** Code, its base code, and the power of ten that leads to the base: 1 mA = 10^-3 A. */
  private static final Map<String, Scale> SCALES =
      Map.ofEntries(
          entry("1", new Scale("1", 0)),
          entry("%", new Scale("1", -2)),
          entry("uOhm", new Scale("Ohm", -6)),
          entry("mOhm", new Scale("Ohm", -3)),
          entry("Ohm", new Scale("Ohm", 0)),
          entry("kOhm", new Scale("Ohm", 3)),
          entry("MOhm", new Scale("Ohm", 6)),
          entry("GOhm", new Scale("Ohm", 9)),
          entry("TOhm", new Scale("Ohm", 12)),
          entry("uA", new Scale("A", -6)),
          entry("mA", new Scale("A", -3)),
          entry("A", new Scale("A", 0)),
          entry("mV", new Scale("V", -3)),
          entry("V", new Scale("V", 0)),
          entry("kV", new Scale("V", 3)),
          entry("deg", new Scale("deg", 0)),
          entry("Cel", new Scale("Cel", 0)),
          entry("Hz", new Scale("Hz", 0)),
          entry("ms", new Scale("s", -3)),
          entry("s", new Scale("s", 0)),
          entry("W", new Scale("W", 0)),
          entry("kW", new Scale("W", 3)));

  public Unit {
    if (!CODE.matcher(code).matches()) {
      throw new IllegalArgumentException(
          "unit \"%s\" is not 1 to 32 printable ASCII characters without blanks".formatted(code));
    }
  }

  /** Tells whether numbers in this unit can be converted, exactly, to the other. */
  public boolean converts(Unit other) {
    Scale here = SCALES.get(code);
    Scale there = SCALES.get(other.code);
    return equals(other) || (here != null && there != null && here.base.equals(there.base));
  }

  /**
   * Converts a number in this unit to the other, exactly (a shift of the decimal point).
   *
   * @throws IllegalArgumentException if the two do not measure the same, or one is not in the table
   */
  public BigDecimal convert(BigDecimal number, Unit other) {
    if (equals(other)) {
      return number;
    }
    Scale here = SCALES.get(code);
    Scale there = SCALES.get(other.code);
    if (here == null || there == null || !here.base.equals(there.base)) {
      throw new IllegalArgumentException("cannot convert %s to %s".formatted(code, other.code));
    }
    BigDecimal shifted = number.scaleByPowerOfTen(here.power - there.power);
    return shifted.scale() < 0 ? shifted.setScale(0) : shifted;
  }

  @Override
  public String toString() {
    return code;
  }

  private record Scale(String base, int power) {}
}
