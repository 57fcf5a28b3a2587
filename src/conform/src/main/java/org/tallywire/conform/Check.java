package org.tallywire.conform;

import java.util.List;
import java.util.Locale;
import org.tallywire.api.LinkException;

/**
 * One check against an instrument.
 *
 * @param name in plain words
 * @param citations the rules that it shows to be kept, for example {@code L-7b}; the first is the
 *     one that is broken if the instrument closes the link meanwhile
 * @param body what is said and what must be heard
 */
record Check(String name, List<String> citations, Body body) {

  /** Says something and looks at what comes back. */
  @FunctionalInterface
  interface Body {
    void run() throws Broken, NotSeen, LinkException;
  }

  /** Tells whether one of the words stands in the name or is a rule that is cited. */
  boolean isMeant(List<String> words) {
    return words.stream()
        .map(word -> word.toLowerCase(Locale.ROOT))
        .anyMatch(
            word ->
                name.toLowerCase(Locale.ROOT).contains(word)
                    || citations.stream()
                        .map(citation -> citation.toLowerCase(Locale.ROOT))
                        .anyMatch(
                            c -> c.equals(word) || c.replaceFirst("[a-z]$", "").equals(word)));
  }

  static Check of(String name, String citations, Body body) {
    return new Check(name, List.of(citations.split(" ", -1)), body);
  }
}
