package org.tallywire.conform;

import java.math.BigDecimal;
import java.util.Optional;
import java.util.OptionalLong;
import java.util.function.Predicate;
import java.util.regex.Pattern;
import org.tallywire.api.Decimals;
import org.tallywire.line.LineMessage;

/** The fields of one heard line, looked at one by one; what is wrong is noted. */
final class HeardFields {

  private static final Pattern WHOLE = Pattern.compile("0|[1-9][0-9]{0,17}");
  private static final Pattern OTHER_FORM = Pattern.compile("\\+[0-9]+|-?0[0-9]+|[0-9]{19,}");
  private static final int LONGEST_TEXT = 64;

  private final LineMessage line;
  private final String text;
  private final Notes notes;
  private final String check;

  HeardFields(LineMessage line, String text, Notes notes, String check) {
    this.line = line;
    this.text = text;
    this.notes = notes;
    this.check = check;
  }

  /** Returns a field that must be there. */
  Optional<String> must(String key, String citation) {
    Optional<String> value = line.text(key);
    if (value.isEmpty()) {
      broken(citation, "%c%s lacks the field %s".formatted(line.mark(), line.kind(), key));
    }
    return value;
  }

  /** Returns a field that must be there and be as said. */
  Optional<String> must(String key, Predicate<String> right, String what, String citation) {
    return must(key, citation).filter(value -> isRight(key, value, right, what, citation));
  }

  /** Looks at a field that may be left out. */
  Optional<String> may(String key, Predicate<String> right, String what, String citation) {
    return line.text(key).filter(value -> isRight(key, value, right, what, citation));
  }

  OptionalLong whole(String key, long from, long to, String citation) {
    boolean other = line.text(key).filter(v -> OTHER_FORM.matcher(v).matches()).isPresent();
    notes.held(check, "L-38");
    Optional<String> value =
        must(key, v -> isWhole(v, from, to), wholeInWords(from, to), other ? "L-38" : citation);
    return value.isPresent() ? OptionalLong.of(Long.parseLong(value.get())) : OptionalLong.empty();
  }

  Optional<BigDecimal> mayDecimal(String key, String citation) {
    return may(key, v -> Decimals.parse(v).isPresent(), "a decimal", citation)
        .flatMap(Decimals::parse);
  }

  /** L-31a: looks at a text, if it is there. */
  void mayText(String key) {
    may(
        key,
        v -> v.codePointCount(0, v.length()) <= LONGEST_TEXT,
        "a text of at most 64 characters",
        "L-31a");
  }

  void broken(String citation, String sentence) {
    notes.broken(check, citation, "%s: %s".formatted(sentence, text));
  }

  static boolean isWhole(String value, long from, long to) {
    return WHOLE.matcher(value).matches()
        && Long.parseLong(value) >= from
        && Long.parseLong(value) <= to;
  }

  private static String wholeInWords(long from, long to) {
    return to == Long.MAX_VALUE
        ? "a whole number, %d or more, without sign or leading zero".formatted(from)
        : "a whole number from %d to %d, without sign or leading zero".formatted(from, to);
  }

  private boolean isRight(
      String key, String value, Predicate<String> right, String what, String citation) {
    boolean isRight = right.test(value);
    if (!isRight) {
      broken(citation, "%s=%s is not %s".formatted(key, value, what));
    }
    return isRight;
  }
}
