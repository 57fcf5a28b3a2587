package org.tallywire.simulator.face;

import java.util.LinkedHashMap;
import java.util.Map;
import java.util.Optional;
import java.util.OptionalLong;
import java.util.regex.Pattern;

/**
 * One message of the line protocol, as {@code shared/protocol.md} describes it.
 *
 * @param mark {@code >}, {@code <} or {@code !} (L-3)
 * @param kind what it says
 * @param fields by key, values as text without escapes, in the order they are sent
 */
public record Line(char mark, String kind, Map<String, String> fields) {

  /** No sign, no leading zero, at most 18 digits (section 8). */
  private static final Pattern WHOLE_NUMBER = Pattern.compile("0|[1-9][0-9]{0,17}");

  public Line {
    fields = new LinkedHashMap<>(fields);
  }

  public Line(char mark, String kind) {
    this(mark, kind, Map.of());
  }

  /** Returns this line with one more field at its end. */
  public Line with(String key, Object value) {
    Line more = new Line(mark, kind, fields);
    more.fields.put(key, value.toString());
    return more;
  }

  /** Returns the text of a field. */
  public Optional<String> text(String key) {
    return Optional.ofNullable(fields.get(key));
  }

  /** Returns the number in a field if it is there, a whole number, and from least to most. */
  public OptionalLong number(String key, long least, long most) {
    String value = fields.get(key);
    if (value == null || !WHOLE_NUMBER.matcher(value).matches()) {
      return OptionalLong.empty();
    }
    long number = Long.parseLong(value);
    return number < least || number > most ? OptionalLong.empty() : OptionalLong.of(number);
  }
}
