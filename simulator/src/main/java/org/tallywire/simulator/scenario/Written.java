package org.tallywire.simulator.scenario;

import java.math.BigDecimal;
import java.math.BigInteger;
import java.util.Map;
import java.util.Optional;
import org.tallywire.simulator.scenario.Problems.Place;

/**
 * One value as somebody wrote it.
 *
 * @param text without quotes and surrounding blanks
 * @param place where it begins
 * @param path the keys that lead to it, as a problem names it
 * @param problems takes what is wrong with it
 */
record Written(String text, Place place, String path, Problems problems) {

  private static final int LONGEST_QUOTED = 60;

  /** Tells a problem: what was written, then why it cannot be used and what to write. */
  void refuse(String why) {
    problems.add(place, "%s: %s %s".formatted(path, quoted(text), why));
  }

  /** Returns the text in quotation marks, cut if it is long. */
  static String quoted(String text) {
    String line = text.replaceAll("\\s+", " ");
    return line.length() > LONGEST_QUOTED
        ? "\"%s…\"".formatted(line.substring(0, line.offsetByCodePoints(0, LONGEST_QUOTED / 2)))
        : "\"%s\"".formatted(line);
  }

  /**
   * Returns what one of the words stands for; tells a problem and returns nothing if it is none.
   */
  <T> Optional<T> oneOf(Map<String, T> words, String what) {
    T found = words.get(text);
    if (found == null) {
      refuse("is no %s; write %s".formatted(what, Wording.choice(words.keySet())));
    }
    return Optional.ofNullable(found);
  }

  /** Returns a whole number within limits; tells a problem and returns nothing if it is none. */
  Optional<Integer> whole(int from, int to) {
    String plain = text.replace('\u2212', '-');
    Optional<BigInteger> number =
        plain.matches("[+-]?[0-9]{1,12}")
            ? Optional.of(new BigDecimal(plain).toBigInteger())
            : Optional.empty();
    Optional<Integer> within =
        number
            .filter(n -> n.compareTo(BigInteger.valueOf(from)) >= 0)
            .filter(n -> n.compareTo(BigInteger.valueOf(to)) <= 0)
            .map(BigInteger::intValue);
    if (within.isEmpty()) {
      String why = number.isEmpty() ? "is not a whole number" : "is out of range";
      String limits = from == to ? "only %d is possible" : "write %d to %d";
      refuse((why + "; " + limits).formatted(from, to));
    }
    return within;
  }
}
