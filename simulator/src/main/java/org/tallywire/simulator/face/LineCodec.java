package org.tallywire.simulator.face;

import java.nio.ByteBuffer;
import java.nio.charset.CharacterCodingException;
import java.nio.charset.StandardCharsets;
import java.util.Arrays;
import java.util.LinkedHashMap;
import java.util.List;
import java.util.Map;
import java.util.Optional;
import java.util.regex.Matcher;
import java.util.regex.Pattern;

/** Writes lines to bytes and reads them back: rules L-1 to L-10 of {@code shared/protocol.md}. */
public final class LineCodec {

  /** Start mark and check value included, terminator not (L-6). */
  public static final int LONGEST = 240;

  /** The {@code *} and four digits. */
  public static final int CHECK_LENGTH = 5;

  private static final int[] STEPS = steps();
  private static final Decoded UNPRINTABLE =
      new Decoded.Damaged("a byte in it is not printable ASCII");
  private static final Pattern HEAD = Pattern.compile("[><!][a-z][a-z0-9-]{0,23}");
  private static final Pattern FIELD = Pattern.compile("([a-z][a-z0-9]{0,15})=([^=*]*)");
  private static final Pattern BAD_ESCAPE = Pattern.compile("%(?![0-9A-F]{2})");
  private static final Pattern REQUEST = Pattern.compile("[0-9]{1,9}");

  /** Kinds that are never answered (L-16b). */
  private static final Pattern UNANSWERED = Pattern.compile(">(ack|beat)(?= |$)");

  private LineCodec() {}

  /** What some bytes turned out to be. */
  public sealed interface Decoded {

    /** A whole line. */
    record Whole(Line line) implements Decoded {}

    /** Not a line at all; never answered (L-8). */
    record Damaged(String why) implements Decoded {}

    /**
     * The check value is right and the grammar is not (L-10); with the request, if it can be
     * answered.
     */
    record Syntax(String why, Optional<String> request) implements Decoded {}
  }

  /** Returns a line as it is sent, ASCII, with its check value and LF. */
  public static String encode(Line line) {
    String text = body(line);
    byte[] body = text.toString().getBytes(StandardCharsets.US_ASCII);
    String whole = "%s*%04X".formatted(text, check(body, body.length));
    if (whole.length() > LONGEST) {
      throw new IllegalStateException(
          "a line of %d bytes is longer than %d: %s".formatted(whole.length(), LONGEST, whole));
    }
    return whole + "\n";
  }

  /** Returns a line from its start mark up to, not including, the {@code *}. */
  public static String body(Line line) {
    StringBuilder text = new StringBuilder().append(line.mark()).append(line.kind());
    for (Map.Entry<String, String> field : line.fields().entrySet()) {
      text.append(' ').append(field.getKey()).append('=').append(escape(field.getValue()));
    }
    return text.toString();
  }

  /** Reads a line from its start mark to its check value, without terminator. */
  public static Decoded decode(byte[] bytes) {
    int length = bytes.length - CHECK_LENGTH;
    if (length < 1) {
      return new Decoded.Damaged("only " + bytes.length + " bytes");
    }
    for (byte b : bytes) {
      if (b < 0x20 || b > 0x7E) {
        return UNPRINTABLE;
      }
    }
    int stated = stated(bytes, length);
    if (stated < 0) {
      return new Decoded.Damaged("no check value at the end");
    }
    if (stated != check(bytes, length)) {
      return new Decoded.Damaged("wrong check value %04X".formatted(stated));
    }
    return parse(new String(bytes, 0, length, StandardCharsets.US_ASCII));
  }

  /** Returns the check value behind the star, −1 if there is none. */
  private static int stated(byte[] bytes, int star) {
    if (bytes[star] != '*') {
      return -1;
    }
    int value = 0;
    for (int i = star + 1; i < bytes.length; i++) {
      int digit = Character.digit((char) bytes[i], 16);
      if (digit < 0) {
        return -1;
      }
      value = value << 4 | digit;
    }
    return value;
  }

  private static Decoded parse(String text) {
    if (BAD_ESCAPE.matcher(text).find()) {
      return syntax(text, "% without two upper-case hexadecimal digits");
    }
    String[] parts = text.split(" ", -1);
    if (!HEAD.matcher(parts[0]).matches()) {
      return syntax(text, "no kind in \"%s\"".formatted(parts[0]));
    }
    Map<String, String> fields = new LinkedHashMap<>();
    for (int i = 1; i < parts.length; i++) {
      Matcher field = FIELD.matcher(parts[i]);
      if (!field.matches()) {
        return syntax(text, "not a field: \"%s\"".formatted(parts[i]));
      }
      Optional<String> value = unescape(field.group(2));
      if (value.isEmpty()) {
        return syntax(text, "field %s is not UTF-8".formatted(field.group(1)));
      }
      if (fields.put(field.group(1), value.get()) != null) {
        return syntax(text, "field %s stands twice".formatted(field.group(1)));
      }
    }
    return new Decoded.Whole(new Line(text.charAt(0), parts[0].substring(1), fields));
  }

  /** L-30c: it can be answered if it has exactly one {@code req}, of 1 to 9 digits. */
  private static Decoded syntax(String text, String why) {
    if (UNANSWERED.matcher(text).lookingAt()) {
      return new Decoded.Syntax(why, Optional.empty());
    }
    List<String> requests =
        Arrays.stream(text.split(" ", -1)).skip(1).filter(part -> part.startsWith("req=")).toList();
    return new Decoded.Syntax(
        why,
        requests.size() != 1
            ? Optional.empty()
            : Optional.of(requests.get(0).substring("req=".length()))
                .filter(value -> !BAD_ESCAPE.matcher(value).find())
                .flatMap(LineCodec::unescape)
                .filter(value -> REQUEST.matcher(value).matches()));
  }

  /** CRC-16/IBM-3740 over the first bytes (L-5). */
  public static int check(byte[] bytes, int length) {
    int crc = 0xFFFF;
    for (int i = 0; i < length; i++) {
      crc = (crc << 8 ^ STEPS[(crc >> 8 ^ bytes[i]) & 0xFF]) & 0xFFFF;
    }
    return crc;
  }

  /** What eight steps of the register make of each first byte. */
  private static int[] steps() {
    int[] steps = new int[256];
    for (int first = 0; first < steps.length; first++) {
      int crc = first << 8;
      for (int bit = 0; bit < 8; bit++) {
        crc = (crc & 0x8000) != 0 ? crc << 1 ^ 0x1021 : crc << 1;
      }
      steps[first] = crc & 0xFFFF;
    }
    return steps;
  }

  private static String escape(String value) {
    StringBuilder text = new StringBuilder();
    for (byte b : value.getBytes(StandardCharsets.UTF_8)) {
      boolean plain = b > 0x20 && b < 0x7F && b != '%' && b != '*' && b != '=';
      text.append(plain ? String.valueOf((char) b) : "%%%02X".formatted(b & 0xFF));
    }
    return text.toString();
  }

  private static Optional<String> unescape(String value) {
    ByteBuffer bytes = ByteBuffer.allocate(value.length());
    for (int i = 0; i < value.length(); i++) {
      char c = value.charAt(i);
      if (c == '%') {
        bytes.put((byte) Integer.parseInt(value.substring(i + 1, i + 3), 16));
        i += 2;
      } else {
        bytes.put((byte) c);
      }
    }
    try {
      return Optional.of(StandardCharsets.UTF_8.newDecoder().decode(bytes.flip()).toString());
    } catch (CharacterCodingException notUtf8) {
      return Optional.empty();
    }
  }
}
