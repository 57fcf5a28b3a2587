package org.tallywire.declared;

import java.time.Duration;
import java.util.Collection;
import java.util.Comparator;
import java.util.LinkedHashMap;
import java.util.Locale;
import java.util.Map;
import java.util.Optional;
import java.util.function.Function;
import java.util.regex.Matcher;
import java.util.regex.Pattern;

/** Words that a file may use, and the nearest one to what was written instead. */
final class Words {

  private static final int FARTHEST = 2;
  private static final int MOST_LISTED = 16;
  private static final Pattern DURATION = Pattern.compile("([0-9]{1,7}) ?(ms|s|min|h)");

  private Words() {}

  /** Returns the constants of an enumeration by their words, such as {@code not-settled}. */
  static <E extends Enum<E>> Map<String, E> of(E[] constants) {
    return of(constants, e -> e.name().toLowerCase(Locale.ROOT).replace('_', '-'));
  }

  static <T> Map<String, T> of(T[] constants, Function<T, String> word) {
    Map<String, T> words = new LinkedHashMap<>();
    for (T constant : constants) {
      words.put(word.apply(constant), constant);
    }
    return words;
  }

  /** Returns the known word that is nearest to what was written, if one is near. */
  static Optional<String> nearest(String written, Collection<String> known) {
    String plain = written.toLowerCase(Locale.ROOT).replace('_', '-').replace(' ', '-');
    return known.stream()
        .filter(word -> distance(plain, word) <= Math.min(FARTHEST, word.length() / 2))
        .min(Comparator.comparingInt(word -> distance(plain, word)));
  }

  /** Returns what to write: the nearest word first, if one is near, then all there are. */
  static String choice(String written, Collection<String> known) {
    String all = String.join(", ", known);
    return nearest(written, known)
        .map(
            word ->
                known.size() > MOST_LISTED
                    ? "write \"%s\"?".formatted(word)
                    : "write \"%s\"? There are: %s".formatted(word, all))
        .orElse("write one of: " + all);
  }

  /** Reads a time such as {@code 500 ms}, {@code 2 s}, {@code 5 min} or {@code 1 h}. */
  static Optional<Duration> duration(String text) {
    Matcher matcher = DURATION.matcher(text);
    if (!matcher.matches()) {
      return Optional.empty();
    }
    long number = Long.parseLong(matcher.group(1));
    return Optional.of(
        switch (matcher.group(2)) {
          case "ms" -> Duration.ofMillis(number);
          case "s" -> Duration.ofSeconds(number);
          case "min" -> Duration.ofMinutes(number);
          default -> Duration.ofHours(number);
        });
  }

  /** Returns a time as a file has it. */
  static String written(Duration time) {
    long millis = time.toMillis();
    if (millis % 1000 != 0) {
      return millis + " ms";
    }
    long seconds = millis / 1000;
    if (seconds == 0 || seconds % 60 != 0) {
      return seconds + " s";
    }
    return seconds % 3600 == 0 ? seconds / 3600 + " h" : seconds / 60 + " min";
  }

  /** Levenshtein's distance, a swap of neighbours counted as one. */
  private static int distance(String a, String b) {
    int[][] d = new int[a.length() + 1][b.length() + 1];
    for (int i = 0; i <= a.length(); i++) {
      for (int j = 0; j <= b.length(); j++) {
        if (i == 0 || j == 0) {
          d[i][j] = i + j;
          continue;
        }
        int change = a.charAt(i - 1) == b.charAt(j - 1) ? 0 : 1;
        d[i][j] = Math.min(Math.min(d[i - 1][j], d[i][j - 1]) + 1, d[i - 1][j - 1] + change);
        if (i > 1
            && j > 1
            && a.charAt(i - 1) == b.charAt(j - 2)
            && a.charAt(i - 2) == b.charAt(j - 1)) {
          d[i][j] = Math.min(d[i][j], d[i - 2][j - 2] + 1);
        }
      }
    }
    return d[a.length()][b.length()];
  }
}
