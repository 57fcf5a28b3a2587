package org.tallywire.declared;

import java.math.BigDecimal;
import java.util.ArrayList;
import java.util.LinkedHashMap;
import java.util.List;
import java.util.Map;
import java.util.Optional;
import java.util.Set;
import java.util.regex.Matcher;
import java.util.regex.Pattern;
import org.tallywire.api.FaultCode;
import org.tallywire.api.Quantity;
import org.tallywire.api.Reading;
import org.tallywire.api.Unit;
import org.tallywire.api.Value;

/**
 * How fields become one reading.
 *
 * @param values in their order, at least one
 * @param labels in their order
 * @param status the instrument's word on it
 */
record ReadingRule(List<ValueRule> values, List<LabelRule> labels, StatusRule status) {

  /** Returns its values; none if every field holds a mark for none (DRV-19). */
  List<Value> values(Map<String, String> fields, NumberStyle style) throws FieldException {
    List<Value> all = new ArrayList<>();
    for (ValueRule rule : values) {
      rule.read(fields, style).ifPresent(all::add);
    }
    return all;
  }

  /** Returns its labels. */
  Map<String, String> labels(Map<String, String> fields) throws FieldException {
    Map<String, String> all = new LinkedHashMap<>();
    for (LabelRule rule : labels) {
      rule.read(fields).ifPresent(text -> all.put(rule.name(), text));
    }
    return all;
  }

  /**
   * A value.
   *
   * @param from the field that holds its number
   * @param unit fixed, if it is
   * @param unitFrom the field that holds the unit otherwise
   * @param units the units by the texts in that field
   * @param factor by which the number is multiplied, if it is
   * @param numbers how it is written, if otherwise than the file's numbers
   * @param reasons words that stand for no number
   * @param dropped texts that stand for no value at all
   */
  record ValueRule(
      Quantity quantity,
      String from,
      Optional<Unit> unit,
      String unitFrom,
      Map<String, Unit> units,
      Optional<BigDecimal> factor,
      Optional<NumberStyle> numbers,
      Map<String, Value.Reason> reasons,
      Set<String> dropped) {

    boolean canBeIn(Unit other) {
      return unit.map(other::equals).orElseGet(() -> units.containsValue(other));
    }

    Optional<Value> read(Map<String, String> fields, NumberStyle style) throws FieldException {
      String text = field(fields, from);
      if (dropped.contains(text)) {
        return Optional.empty();
      }
      Unit in = unit.isPresent() ? unit.get() : word(fields, unitFrom, units);
      Value.Reason reason = reasons.get(text);
      if (reason != null) {
        return Optional.of(new Value.Missing(quantity, in, reason));
      }
      NumberStyle own = numbers.orElse(style);
      BigDecimal number =
          own.read(text)
              .flatMap(n -> factor.map(f -> NumberStyle.scaled(n, f)).orElse(Optional.of(n)))
              .orElseThrow(() -> noNumber(text, own));
      return Optional.of(new Value.Measured(quantity, number, in, factor));
    }

    private FieldException noNumber(String text, NumberStyle style) {
      return new FieldException(
          "has in %s \"%s\", which is no number of at most %d characters and no word of the file: %s"
              .formatted(from, Bytes.written(text), NumberStyle.LONGEST, style.advice(text)));
    }
  }

  /**
   * A label.
   *
   * @param constant its text, if it is always the same
   * @param from the field that holds it otherwise
   * @param words what the texts in that field mean; empty: what they say
   * @param dropped texts that stand for no label, as nothing does
   * @param whole whether it is a whole number, to be written without plus and leading zeros
   */
  record LabelRule(
      String name,
      Optional<String> constant,
      String from,
      Map<String, String> words,
      Set<String> dropped,
      boolean whole) {

    private static final Pattern WHOLE = Pattern.compile("([+-]?)0*([0-9]{1,9})");

    Optional<String> read(Map<String, String> fields) throws FieldException {
      if (constant.isPresent()) {
        return constant;
      }
      String text = field(fields, from);
      if (dropped.contains(text) || (text.isEmpty() && !words.containsKey(""))) {
        return Optional.empty();
      }
      if (!words.isEmpty()) {
        return Optional.of(word(fields, from, words));
      }
      if (!whole) {
        return Optional.of(text);
      }
      var matcher = WHOLE.matcher(text);
      if (!matcher.matches()) {
        throw new FieldException(
            "has in %s \"%s\", which is no whole number".formatted(from, Bytes.written(text)));
      }
      boolean negative = matcher.group(1).equals("-") && !matcher.group(2).equals("0");
      return Optional.of((negative ? "-" : "") + matcher.group(2));
    }
  }

  /** The status. */
  sealed interface StatusRule {

    Reading.Status read(Map<String, String> fields) throws FieldException;

    /** It is always the same. */
    record Always(Reading.Status status) implements StatusRule {

      @Override
      public Reading.Status read(Map<String, String> fields) {
        return status;
      }
    }

    /** The text in a field says it. */
    record Words(String from, Map<String, Reading.Status> words) implements StatusRule {

      @Override
      public Reading.Status read(Map<String, String> fields) throws FieldException {
        return word(fields, from, words);
      }
    }

    /** The bits of a hexadecimal number in a field say it: the worst that is set; none: ok. */
    record Bits(String from, Map<Integer, Reading.Status> bits) implements StatusRule {

      /** Returns each named bit with its mask and its word, the lowest first. */
      List<String> inWords() {
        return bits.entrySet().stream()
            .map(
                bit ->
                    "bit %d, mask 0x%02X: %s"
                        .formatted(bit.getKey(), 1L << bit.getKey(), bit.getValue().word()))
            .toList();
      }

      private static final Pattern HEXADECIMAL = Pattern.compile("(?:0[xX])?([0-9A-Fa-f]{1,8})");

      @Override
      public Reading.Status read(Map<String, String> fields) throws FieldException {
        String text = field(fields, from);
        Matcher matcher = HEXADECIMAL.matcher(text);
        if (!matcher.matches()) {
          throw new FieldException(
              "has in %s \"%s\", which is no hexadecimal number of 1 to 8 digits"
                  .formatted(from, Bytes.written(text)));
        }
        long set = Long.parseLong(matcher.group(1), 16);
        Reading.Status worst = Reading.Status.OK;
        for (int bit = 0; bit < Integer.SIZE; bit++) {
          if ((set >> bit & 1) != 0) {
            Reading.Status status = bits.get(bit);
            if (status == null) {
              throw new FieldException(
                  "has in %s \"%s\", where bit %d is set, which the file does not name"
                      .formatted(from, text, bit));
            }
            worst = status.compareTo(worst) > 0 ? status : worst;
          }
        }
        return worst;
      }
    }
  }

  /** Returns what the text of a field stands for. */
  private static <T> T word(Map<String, String> fields, String from, Map<String, T> words)
      throws FieldException {
    String text = field(fields, from);
    T meaning = words.get(text);
    if (meaning == null) {
      throw new FieldException(
          "has in %s \"%s\", which is none of %s"
              .formatted(from, Bytes.written(text), words.keySet()));
    }
    return meaning;
  }

  private static String field(Map<String, String> fields, String name) throws FieldException {
    String text = fields.get(name);
    if (text == null) {
      throw new FieldException(
          FaultCode.OUT_OF_ORDER, "needs %s, which no line before it gave".formatted(name));
    }
    return text.strip();
  }
}
