package org.tallywire.declared;

import java.math.BigDecimal;
import java.util.LinkedHashMap;
import java.util.List;
import java.util.Map;
import java.util.Optional;
import java.util.regex.Matcher;
import java.util.regex.Pattern;

/**
 * How a meter writes numbers (rule DRV-15): blanks around and behind the sign, a plus, leading
 * zeros and an exponent are understood always; the decimal mark and the mark between thousands are
 * the file's. A number is exact and keeps its digits.
 *
 * @param decimal mark before the decimals, {@code .} or {@code ,}
 * @param thousands mark between thousands; empty if there is none
 */
record NumberStyle(char decimal, String thousands) {

  static final NumberStyle USUAL = new NumberStyle('.', "");

  /** Characters of a number in a record at most. */
  static final int LONGEST = 32;

  private static final List<NumberStyle> OTHERS =
      List.of(
          USUAL,
          new NumberStyle(',', ""),
          new NumberStyle('.', ","),
          new NumberStyle(',', "."),
          new NumberStyle('.', "'"),
          new NumberStyle('.', " "),
          new NumberStyle(',', " "));

  private static final Pattern PLAIN =
      Pattern.compile("([+-]?) *([0-9]{0,40})(?:\\.([0-9]{0,40}))?(?:[eE]([+-]?[0-9]{1,2}))?");
  private static final Pattern GROUPED = Pattern.compile("[0-9]{1,3}(\u0001[0-9]{3})+");

  /** Returns the number that a text is, or nothing. */
  Optional<BigDecimal> read(String text) {
    String plain = text.strip();
    if (!thousands.isEmpty()) {
      int point = plain.indexOf(decimal);
      String whole = point < 0 ? plain : plain.substring(0, point);
      if (whole.contains(thousands)) {
        String unsigned = whole.replaceFirst("^[+-] *", "").replace(thousands, "\u0001");
        if (!GROUPED.matcher(unsigned).matches()) {
          return Optional.empty();
        }
        plain = whole.replace(thousands, "") + (point < 0 ? "" : plain.substring(point));
      }
    }
    if (decimal != '.' && plain.indexOf('.') >= 0) {
      return Optional.empty();
    }
    Matcher matcher = PLAIN.matcher(plain.replace(decimal, '.'));
    if (!matcher.matches()) {
      return Optional.empty();
    }
    String fraction = matcher.group(3) == null ? "" : matcher.group(3);
    if (matcher.group(2).isEmpty() && fraction.isEmpty()) {
      return Optional.empty();
    }
    int exponent = matcher.group(4) == null ? 0 : Integer.parseInt(matcher.group(4));
    BigDecimal digits =
        new BigDecimal(
            matcher.group(1) + "0" + matcher.group(2) + (fraction.isEmpty() ? "" : "." + fraction));
    return fitting(digits.scaleByPowerOfTen(exponent));
  }

  /** Returns what to write so that a text that is no number becomes one, or a word. */
  String advice(String text) {
    if (read(text).isPresent()) {
      return "multiplied by its factor it is longer than that";
    }
    Map<String, String> fitting = new LinkedHashMap<>(); // the simplest marks for each number
    for (NumberStyle other : OTHERS) {
      other
          .read(text)
          .map(BigDecimal::toPlainString)
          .ifPresent(n -> fitting.putIfAbsent(n, "%s makes it %s".formatted(other, n)));
    }
    String usual = "here \"%s\" is the decimal mark and %s stands between thousands";
    String here =
        usual.formatted(decimal, thousands.isEmpty() ? "nothing" : "\"" + thousands + '"');
    return fitting.isEmpty()
        ? here
            + ". What stands where no number can is written under words: {\"%s\": open}"
                .formatted(Bytes.written(text))
        : "%s; %s: write it at the top of the file, or with this value"
            .formatted(here, String.join(", ", fitting.values()));
  }

  /** Returns it as it stands in a file. */
  @Override
  public String toString() {
    String mark = "decimal: \"%s\"".formatted(decimal);
    String between = "thousands: \"%s\"".formatted(thousands);
    return "numbers: {%s}"
        .formatted(thousands.isEmpty() ? mark : decimal == '.' ? between : mark + ", " + between);
  }

  /** Multiplies exactly; a power of ten moves the decimal point and adds no digit. */
  static Optional<BigDecimal> scaled(BigDecimal number, BigDecimal factor) {
    BigDecimal stripped = factor.stripTrailingZeros();
    boolean powerOfTen = stripped.unscaledValue().equals(java.math.BigInteger.ONE);
    return fitting(
        powerOfTen ? number.scaleByPowerOfTen(-stripped.scale()) : number.multiply(factor));
  }

  private static Optional<BigDecimal> fitting(BigDecimal number) {
    BigDecimal plain = number.scale() < 0 ? number.setScale(0) : number;
    return Optional.of(plain).filter(n -> n.toPlainString().length() <= LONGEST);
  }
}
