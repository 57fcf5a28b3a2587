package org.tallywire.conform;

import java.nio.ByteBuffer;
import java.nio.charset.CharacterCodingException;
import java.nio.charset.StandardCharsets;
import java.util.ArrayList;
import java.util.LinkedHashMap;
import java.util.List;
import java.util.Map;
import java.util.Optional;
import java.util.regex.Matcher;
import java.util.regex.Pattern;
import org.tallywire.line.Crc16;

/** How the toy instrument cuts and reads lines, right but for its one defect. */
final class ToyEar {

  private static final int LIMIT = 240;
  private static final Pattern KIND = Pattern.compile(">([a-z][a-z0-9-]{0,23})((?: .*)?)");
  private static final Pattern FIELD = Pattern.compile("([a-z][a-z0-9]{0,15})=([^*= ]*)");
  private static final Pattern CHECK = Pattern.compile("(.*)\\*([0-9A-Fa-f]{4})", Pattern.DOTALL);
  private static final Pattern REQ = Pattern.compile(" req=([0-9]{1,9})(?= |$)");

  private final Optional<Defect> defect;
  private final StringBuilder buffer = new StringBuilder();
  private boolean tooLong;
  private boolean deaf;
  private boolean sawGarbage;
  private boolean late;

  /**
   * What was heard.
   *
   * @param fault whether it is a syntax fault; then only {@code req} is among the fields
   */
  record Line(String kind, Map<String, String> fields, boolean fault) {}

  ToyEar(Optional<Defect> defect) {
    this.defect = defect;
  }

  private boolean is(Defect one) {
    return defect.equals(Optional.of(one));
  }

  boolean closes() {
    boolean now = is(Defect.CLOSES_ON_GARBAGE) && sawGarbage;
    sawGarbage = false;
    return now;
  }

  List<Line> take(byte[] bytes) {
    List<Line> lines = new ArrayList<>();
    for (byte b : bytes) {
      char c = (char) (b & 0xFF);
      if (c == '\n' || (c == '\r' && is(Defect.CR_ENDS_A_LINE))) {
        cut().ifPresent(lines::add);
        buffer.setLength(0);
        deaf |= tooLong && is(Defect.DEAF_AFTER_LONG);
        tooLong = false;
      } else {
        keep(c);
      }
    }
    return lines;
  }

  private void keep(char c) {
    buffer.append(c);
    if (buffer.length() > 3 * LIMIT) {
      buffer.delete(0, buffer.length() - LIMIT - 1);
      tooLong = true;
      sawGarbage = true;
      deaf |= is(Defect.GARBAGE_DEAF);
    }
  }

  private Optional<Line> cut() {
    String text = buffer.toString();
    if (text.endsWith("\r") && !is(Defect.REFUSES_CR)) {
      boolean tooLate = is(Defect.CR_COUNTS) && text.length() > LIMIT;
      text = tooLate ? text : text.substring(0, text.length() - 1);
    }
    while (is(Defect.TAKES_TWO_CR) && text.endsWith("\r")) {
      text = text.substring(0, text.length() - 1);
    }
    if (text.isEmpty() && is(Defect.ANSWERS_EMPTY_LINE)) {
      return Optional.of(new Line("", Map.of("req", "0"), true));
    }
    if (deaf || text.isEmpty()) {
      return Optional.empty();
    }
    tooLong |= text.length() > LIMIT;
    if (late) {
      late = false;
      return Optional.empty();
    }
    Optional<Line> line = fromEachMark(text);
    late = line.isEmpty() && is(Defect.ONE_LINE_LATE);
    return line;
  }

  private Optional<Line> fromEachMark(String text) {
    Optional<Line> fault = Optional.empty();
    Optional<Line> last = Optional.empty();
    int longest = is(Defect.TAKES_TOO_LONG) ? 3 * LIMIT : LIMIT;
    for (int i = Math.max(0, text.length() - longest); i < text.length(); i++) {
      char mark = text.charAt(i);
      if (mark != '>' && !(is(Defect.ANSWERS_ECHO) && mark == '!')) {
        if (is(Defect.ONLY_FIRST_MARK)) {
          return Optional.empty();
        }
        continue;
      }
      Optional<String> body = undamaged(text.substring(i));
      Optional<Line> line = body.flatMap(this::parsed);
      if (line.isPresent() && !is(Defect.LAST_MARK)) {
        return line;
      }
      last = line.isPresent() ? line : last;
      if (fault.isEmpty() && body.isPresent()) {
        fault = Optional.of(new Line("", request(body.get()), true));
      }
      if (is(Defect.ONLY_FIRST_MARK)) {
        return fault;
      }
    }
    return last.isPresent() ? last : fault;
  }

  /** The req of a line that is not of the grammar, if exactly one can be read (L-30c). */
  private Map<String, String> request(String body) {
    List<String> all = REQ.matcher(body).results().map(found -> found.group(1)).toList();
    boolean readable = all.size() == 1 || (!all.isEmpty() && is(Defect.ANSWERS_TWO_REQ));
    return readable ? Map.of("req", all.get(0)) : Map.of();
  }

  private Optional<String> undamaged(String text) {
    if (is(Defect.ANSWERS_WITHOUT_CHECK) && !text.contains("*")) {
      return Optional.of(text);
    }
    boolean printable = text.chars().allMatch(c -> c >= 0x20 && c <= 0x7E);
    Matcher check = CHECK.matcher(text);
    if ((!printable && !is(Defect.TAKES_ANY_BYTE)) || !check.matches()) {
      return Optional.empty();
    }
    if (is(Defect.REFUSES_LOWER_CASE_CHECK) && check.group(2).matches(".*[a-f].*")) {
      return Optional.empty();
    }
    byte[] bytes = check.group(1).getBytes(StandardCharsets.ISO_8859_1);
    boolean right =
        Crc16.of(bytes, 0, bytes.length) == Integer.parseInt(check.group(2), 16)
            || is(Defect.ANSWERS_DAMAGED);
    return right ? Optional.of(check.group(1)) : Optional.empty();
  }

  private Optional<Line> parsed(String body) {
    Matcher kind = KIND.matcher(body.replace('!', '>'));
    if (!kind.matches()) {
      return Optional.empty();
    }
    Map<String, String> fields = new LinkedHashMap<>();
    String rest = body.substring(kind.start(2));
    for (String word : rest.isEmpty() ? new String[0] : rest.substring(1).split(" ", -1)) {
      Matcher field = FIELD.matcher(word);
      if (!field.matches()) {
        return Optional.empty();
      }
      Optional<String> value = value(field.group(2));
      if (value.isEmpty()) {
        return Optional.empty();
      }
      if (fields.put(field.group(1), value.get()) != null
          && !is(Defect.TAKES_KEY_TWICE)
          && !(is(Defect.HONOURS_KEY_TWICE) && kind.group(1).equals("ack"))) {
        return Optional.empty();
      }
    }
    return Optional.of(new Line(kind.group(1), fields, false));
  }

  private Optional<String> value(String text) {
    if (is(Defect.TAKES_ANY_ESCAPE) || !text.contains("%")) {
      return Optional.of(text);
    }
    if (is(Defect.REFUSES_ESCAPES) || !text.matches("([^%]|%[0-9A-F]{2})*")) {
      return Optional.empty();
    }
    ByteBuffer bytes = ByteBuffer.allocate(text.length());
    for (int i = 0; i < text.length(); i++) {
      boolean escape = text.charAt(i) == '%';
      bytes.put(
          escape
              ? (byte) Integer.parseInt(text.substring(i + 1, i + 3), 16)
              : (byte) text.charAt(i));
      i += escape ? 2 : 0;
    }
    try {
      return Optional.of(StandardCharsets.UTF_8.newDecoder().decode(bytes.flip()).toString());
    } catch (CharacterCodingException e) {
      return Optional.empty();
    }
  }
}
