package org.tallywire.line;

import java.nio.ByteBuffer;
import java.nio.charset.CharacterCodingException;
import java.nio.charset.StandardCharsets;
import java.util.Collections;
import java.util.LinkedHashMap;
import java.util.Map;
import java.util.Optional;
import java.util.OptionalLong;
import java.util.regex.Matcher;
import java.util.regex.Pattern;
import org.tallywire.api.FaultCode;
import org.tallywire.api.Frame;
import org.tallywire.api.FrameException;

/**
 * A message of the line protocol: start mark, kind, fields (the grammar of section 3, rules L-9 and
 * L-10). Immutable.
 *
 * @param mark the start mark: {@code >} bridge to instrument, {@code <} answer, {@code !} of the
 *     instrument's own accord
 * @param kind what the line is, for example {@code reading}
 * @param fields keys and values without escapes, in the order of the line
 */
public record LineMessage(char mark, String kind, Map<String, String> fields) {

  /** The most characters, Unicode code points, of a text (L-31a). */
  public static final int LONGEST_TEXT = 64;

  private static final Pattern HEAD = Pattern.compile("([!<>])([a-z][a-z0-9-]{0,23})");
  private static final Pattern FIELD = Pattern.compile(" ([a-z][a-z0-9]{0,15})=([!-$&-)+-<>-~%]*)");
  private static final Pattern WHOLE = Pattern.compile("0|[1-9][0-9]{0,17}");
  private static final Pattern REQUEST = Pattern.compile("0|[1-9][0-9]{0,8}");
  private static final long LARGEST = 999_999_999_999_999_999L;

  /** The asterisk and four digits. */
  static final int CHECK_LENGTH = 5;

  /** Keeps a copy of the fields; nothing is checked against the grammar. */
  public LineMessage {
    fields = Collections.unmodifiableMap(new LinkedHashMap<>(fields));
  }

  /**
   * Reads an undamaged line, check value included, as a {@link LineFramer} yields it.
   *
   * @throws FrameException with {@link FaultCode#FRAME_SYNTAX} if it is not of the grammar
   */
  public static LineMessage parse(Frame frame) throws FrameException {
    String body = body(frame);
    Matcher head = HEAD.matcher(body);
    if (!head.lookingAt()) {
      throw syntax(frame, "no kind after the start mark");
    }
    Map<String, String> fields = new LinkedHashMap<>();
    Matcher field = FIELD.matcher(body).region(head.end(), body.length());
    int at = head.end();
    while (at < body.length()) {
      if (!field.lookingAt()) {
        throw syntax(frame, "no field of the form key=value at character " + (at + 1));
      }
      String key = field.group(1);
      if (fields.put(key, unescape(frame, key, field.group(2))) != null) {
        throw syntax(frame, "the key " + key + " stands twice");
      }
      at = field.end();
      field.region(at, body.length());
    }
    return new LineMessage(head.group(1).charAt(0), head.group(2), fields);
  }

  /** Returns the text of an undamaged line without its check value. */
  static String body(Frame frame) {
    String line = frame.text();
    return line.substring(0, line.length() - CHECK_LENGTH);
  }

  /** Returns fields in the given order: key, value, key, value … */
  public static Map<String, String> fieldsOf(String... keysAndValues) {
    Map<String, String> fields = new LinkedHashMap<>();
    for (int i = 0; i < keysAndValues.length; i += 2) {
      fields.put(keysAndValues[i], keysAndValues[i + 1]);
    }
    return fields;
  }

  /** Returns the whole line with check value and terminator, values escaped. */
  public byte[] bytes() {
    StringBuilder body = new StringBuilder().append(mark).append(kind);
    fields.forEach((key, value) -> body.append(' ').append(key).append('=').append(escape(value)));
    byte[] bytes = body.toString().getBytes(StandardCharsets.US_ASCII);
    String line = "%s*%04X\n".formatted(body, Crc16.of(bytes, 0, bytes.length));
    return line.getBytes(StandardCharsets.US_ASCII);
  }

  /** Returns a field that may be left out. */
  public Optional<String> text(String key) {
    return Optional.ofNullable(fields.get(key));
  }

  /**
   * Returns a field that must be there.
   *
   * @throws FrameException with {@link FaultCode#FRAME_SYNTAX} if it is not
   */
  public String text(Frame frame, String key) throws FrameException {
    String value = fields.get(key);
    if (value == null) {
      throw syntax(frame, "the field " + key + " is missing");
    }
    return value;
  }

  /**
   * Returns a text that must be there and have at most {@link #LONGEST_TEXT} characters (L-31a).
   *
   * @throws FrameException with {@link FaultCode#FRAME_SYNTAX} if it is not
   */
  public String shortText(Frame frame, String key) throws FrameException {
    String value = text(frame, key);
    int length = value.codePointCount(0, value.length());
    if (length > LONGEST_TEXT) {
      throw syntax(
          frame, "%s has %d characters, at most %d go".formatted(key, length, LONGEST_TEXT));
    }
    return value;
  }

  /**
   * Returns a field that must be there and be a whole number in the range: no sign, no leading
   * zero, at most 18 digits.
   *
   * @throws FrameException with {@link FaultCode#FRAME_SYNTAX} if it is not
   */
  public long whole(Frame frame, String key, long from, long to) throws FrameException {
    String value = text(frame, key);
    long number = WHOLE.matcher(value).matches() ? Long.parseLong(value) : -1;
    if (number < from || number > to) {
      throw syntax(
          frame,
          "%s=%s is no whole number from %d to %d"
              .formatted(key, value, from, Math.min(to, LARGEST)));
    }
    return number;
  }

  /** Returns the request a line states, if it does: 1 to 9 digits (L-16a). */
  public OptionalLong request() {
    String value = fields.getOrDefault("req", "");
    return REQUEST.matcher(value).matches()
        ? OptionalLong.of(Long.parseLong(value))
        : OptionalLong.empty();
  }

  /** Returns the fault of an undamaged line that is not of the protocol, with its bytes (L-10c). */
  public static FrameException syntax(Frame frame, String what) {
    return new FrameException(
        FaultCode.FRAME_SYNTAX,
        "an undamaged line that is not of the protocol was ignored: %s".formatted(what),
        frame.bytes());
  }

  private static String unescape(Frame frame, String key, String value) throws FrameException {
    if (value.indexOf('%') < 0) {
      return value;
    }
    ByteBuffer bytes = ByteBuffer.allocate(value.length());
    for (int i = 0; i < value.length(); i++) {
      char c = value.charAt(i);
      if (c != '%') {
        bytes.put((byte) c);
        continue;
      }
      if (i + 2 >= value.length() || !isUpperHex(value, i + 1) || !isUpperHex(value, i + 2)) {
        throw syntax(frame, "%s has a %% without two upper-case hexadecimal digits".formatted(key));
      }
      bytes.put((byte) Integer.parseInt(value.substring(i + 1, i + 3), 16));
      i += 2;
    }
    try {
      return StandardCharsets.UTF_8.newDecoder().decode(bytes.flip()).toString();
    } catch (CharacterCodingException e) {
      throw syntax(frame, key + " is not UTF-8");
    }
  }

  private static boolean isUpperHex(String text, int at) {
    char c = text.charAt(at);
    return (c >= '0' && c <= '9') || (c >= 'A' && c <= 'F');
  }

  private static String escape(String value) {
    StringBuilder out = new StringBuilder();
    for (byte b : value.getBytes(StandardCharsets.UTF_8)) {
      boolean plain = b > 0x20 && b < 0x7F && b != '%' && b != '*' && b != '=';
      out.append(plain ? String.valueOf((char) b) : "%%%02X".formatted(b & 0xFF));
    }
    return out.toString();
  }
}
