package org.tallywire.conform;

import java.util.List;
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

  static Check of(String name, String citations, Body body) {
    return new Check(name, List.of(citations.split(" ", -1)), body);
  }
}
