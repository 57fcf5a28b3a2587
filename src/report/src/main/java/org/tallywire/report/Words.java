package org.tallywire.report;

import java.math.BigDecimal;
import java.time.Instant;
import java.time.ZoneOffset;
import java.time.format.DateTimeFormatter;
import java.util.Map;
import java.util.Optional;
import org.tallywire.acceptance.Verdict;
import org.tallywire.api.Instrument;
import org.tallywire.api.Unit;
import org.tallywire.api.Value;

/** Figures, units, times and states as a person reads them; digits stay as they were recorded. */
final class Words {

  private static final DateTimeFormatter TIME =
      DateTimeFormatter.ofPattern("uuuu-MM-dd HH:mm:ss 'UTC'").withZone(ZoneOffset.UTC);
  private static final DateTimeFormatter EXACT =
      DateTimeFormatter.ofPattern("uuuu-MM-dd HH:mm:ss.SSS 'UTC'").withZone(ZoneOffset.UTC);

  /** UCUM codes that people write otherwise; all others are shown as they are. */
  private static final Map<String, String> UNITS =
      Map.ofEntries(
          Map.entry("1", ""),
          Map.entry("uOhm", "µΩ"),
          Map.entry("mOhm", "mΩ"),
          Map.entry("Ohm", "Ω"),
          Map.entry("kOhm", "kΩ"),
          Map.entry("MOhm", "MΩ"),
          Map.entry("GOhm", "GΩ"),
          Map.entry("TOhm", "TΩ"),
          Map.entry("uA", "µA"),
          Map.entry("deg", "°"),
          Map.entry("Cel", "°C"));

  private Words() {}

  static String unit(Unit unit) {
    return UNITS.getOrDefault(unit.code(), unit.code());
  }

  static String figure(BigDecimal number, Unit unit) {
    return (number.toPlainString().replace('-', '−') + "\u00a0" + unit(unit))
        .strip()
        .replaceAll("\u00a0$", "");
  }

  static String figure(Optional<BigDecimal> number, Unit unit) {
    return number.map(one -> figure(one, unit)).orElse("–");
  }

  static String value(Value value) {
    return value instanceof Value.Measured measured
        ? figure(measured.number(), measured.unit())
        : "none (" + ((Value.Missing) value).reason().word() + ")";
  }

  static String limit(Verdict verdict) {
    String side =
        switch (verdict.bound()) {
          case WITHIN -> "±";
          case AT_LEAST -> "≥\u00a0";
          case AT_MOST -> "≤\u00a0";
        };
    return side + figure(verdict.limit(), verdict.deviationUnit());
  }

  static String uncertainty(Verdict verdict) {
    return "%s (k\u00a0=\u00a0%s)"
        .formatted(
            figure(verdict.uncertainty(), verdict.deviationUnit()),
            verdict.coverage().toPlainString());
  }

  /** Returns a mark and the word: a state is not told by colour alone. */
  static String state(Verdict.State state) {
    return switch (state) {
      case PASS -> "✓\u00a0pass";
      case CONDITIONAL_PASS -> "(✓)\u00a0conditional pass";
      case FAIL -> "✗\u00a0FAIL";
      case CONDITIONAL_FAIL -> "(✗)\u00a0conditional FAIL";
      case UNDECIDED -> "?\u00a0undecided";
    };
  }

  static String style(Verdict.State state) {
    return state.failed() ? "fail" : state.passed() ? "pass" : "undecided";
  }

  static String time(Instant instant) {
    return TIME.format(instant);
  }

  static String exact(Instant instant) {
    return EXACT.format(instant);
  }

  static String instrument(Instrument instrument) {
    String name = (instrument.maker() + " " + instrument.model()).strip();
    return name.isEmpty() ? "not named by itself" : name;
  }

  static String or(String text, String instead) {
    return text.isBlank() ? instead : text;
  }

  static String by(String person, String otherwise) {
    return person.isBlank() ? otherwise : person;
  }
}
