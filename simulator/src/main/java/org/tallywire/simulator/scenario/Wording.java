package org.tallywire.simulator.scenario;

import java.util.Collection;
import java.util.Comparator;
import java.util.List;
import java.util.Locale;
import java.util.Optional;
import java.util.regex.Pattern;

/** Says which words can be written, and which one was probably meant. */
final class Wording {

  static final String SPACE_AFTER_COLON = "write a space after the colon";

  private static final int LEAST_BEGINNING = 3;

  /** A key, a colon and a value without a space between; a time of day is none. */
  private static final Pattern TOO_CLOSE =
      Pattern.compile("\\p{L}[\\p{L} -]*:[^\\s/].*", Pattern.DOTALL);

  private Wording() {}

  /** Tells whether somebody wrote a key with its value and no space after the colon. */
  static boolean spaceIsMissing(String written) {
    return TOO_CLOSE.matcher(written).matches();
  }

  /** Returns the words as a choice: {@code a, b or c}. */
  static String choice(Collection<String> words) {
    List<String> list = List.copyOf(words);
    int last = list.size() - 1;
    return last < 1
        ? String.join("", list)
        : String.join(", ", list.subList(0, last)) + " or " + list.get(last);
  }

  /** Returns a question for the word that was probably meant, else nothing. */
  static String suggestion(String written, Collection<String> words) {
    return nearest(written, words).map(" do you mean \"%s\"?"::formatted).orElse("");
  }

  /**
   * Returns the word nearest to what was written, if no more than a third of it differs, else the
   * first that begins so.
   */
  static Optional<String> nearest(String written, Collection<String> words) {
    String plain = plain(written);
    return words.stream()
        .min(Comparator.comparingInt(word -> distance(plain, plain(word))))
        .filter(word -> distance(plain, plain(word)) <= plain(word).length() / 3)
        .or(() -> words.stream().filter(word -> begins(word, plain)).findFirst());
  }

  private static boolean begins(String word, String plain) {
    return plain.length() >= LEAST_BEGINNING && plain(word).startsWith(plain);
  }

  private static String plain(String word) {
    return word.toLowerCase(Locale.ROOT).replace('-', ' ').replace('_', ' ');
  }

  /** Edit distance: how many letters to insert, leave out or replace (Levenshtein, textbook). */
  private static int distance(String a, String b) {
    int[] row = new int[b.length() + 1];
    for (int j = 0; j < row.length; j++) {
      row[j] = j;
    }
    for (int i = 1; i <= a.length(); i++) {
      int diagonal = row[0];
      row[0] = i;
      for (int j = 1; j < row.length; j++) {
        int replaced = diagonal + (a.charAt(i - 1) == b.charAt(j - 1) ? 0 : 1);
        diagonal = row[j];
        row[j] = Math.min(replaced, 1 + Math.min(row[j], row[j - 1]));
      }
    }
    return row[b.length()];
  }
}
