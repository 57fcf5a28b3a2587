package org.tallywire.conform;

import java.nio.charset.StandardCharsets;
import java.util.LinkedHashMap;
import java.util.Map;
import java.util.regex.Matcher;
import java.util.regex.Pattern;

/** Finds out how a line came to its wrong check value: the usual mistakes, tried one by one. */
final class WrongCheck {

  private static final Pattern LINE = Pattern.compile("(.*)\\*([0-9A-Fa-f]{4})", Pattern.DOTALL);
  private static final int RIGHT = 0x1021;
  private static final int OTHER = 0x8005;
  private static final int ONES = 0xFFFF;

  private WrongCheck() {}

  /** Returns the mistake that gives the value stated, in words; empty if none does. */
  static String cause(byte[] line) {
    Matcher parts = LINE.matcher(new String(line, StandardCharsets.ISO_8859_1));
    if (!parts.matches() || parts.group(1).isEmpty()) {
      return "";
    }
    int stated = Integer.parseInt(parts.group(2), 16);
    for (Map.Entry<String, Integer> mistake : mistakes(parts.group(1)).entrySet()) {
      if (mistake.getValue() == stated) {
        return "; %s: that gives %04X".formatted(mistake.getKey(), stated);
      }
    }
    return "";
  }

  private static Map<String, Integer> mistakes(String body) {
    byte[] bytes = Wire.bytes(body);
    int right = crc(bytes, RIGHT, ONES);
    Map<String, Integer> all = new LinkedHashMap<>();
    all.put("the initial value is 0 and must be FFFF", crc(bytes, RIGHT, 0));
    all.put("the * is included and must not be", crc(Wire.bytes(body + "*"), RIGHT, ONES));
    all.put("the start mark is left out", crc(Wire.bytes(body.substring(1)), RIGHT, ONES));
    all.put("its two bytes are swapped", (right & 0xFF) << 8 | right >> 8);
    all.put("there is a final XOR, and must be none", right ^ ONES);
    all.put("it begins with 1D0F and must begin with FFFF", crc(bytes, RIGHT, 0x1D0F));
    all.put(
        "the initial value is 0 and must be FFFF, and the * is included",
        crc(Wire.bytes(body + "*"), RIGHT, 0));
    for (int initial : new int[] {ONES, 0}) {
      String words = "each byte is taken with its lowest bit first (reflected, from %04X%s)";
      int reflected = reflected(bytes, RIGHT, initial);
      all.putIfAbsent(words.formatted(initial, ""), reflected);
      all.putIfAbsent(words.formatted(initial, ", final XOR"), reflected ^ ONES);
      String other = "the polynomial is 8005 and must be 1021 (from %04X%s)";
      all.putIfAbsent(other.formatted(initial, ""), crc(bytes, OTHER, initial));
      all.putIfAbsent(other.formatted(initial, ", reflected"), reflected(bytes, OTHER, initial));
    }
    return all;
  }

  private static int crc(byte[] bytes, int polynomial, int initial) {
    int register = initial;
    for (byte b : bytes) {
      register ^= (b & 0xFF) << 8;
      for (int bit = 0; bit < 8; bit++) {
        register = (register & 0x8000) != 0 ? register << 1 ^ polynomial : register << 1;
      }
      register &= ONES;
    }
    return register;
  }

  private static int reflected(byte[] bytes, int polynomial, int initial) {
    int mirrored = Integer.reverse(polynomial) >>> 16;
    int register = initial;
    for (byte b : bytes) {
      register ^= b & 0xFF;
      for (int bit = 0; bit < 8; bit++) {
        register = (register & 1) != 0 ? register >> 1 ^ mirrored : register >> 1;
      }
    }
    return register;
  }
}
