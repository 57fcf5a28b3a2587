package org.tallywire.conform;

import java.util.List;
import org.tallywire.api.LinkException;

/**
 * One thing that may happen on a line, played to a bridge. It begins when the bridge has said
 * {@code >hello} to an instrument it has not met.
 *
 * @param name what happens, in plain words
 * @param rules the rules that the bridge keeps in it
 * @param play what the instrument does, and what it must see
 */
record Scenario(String name, List<String> rules, Play play) {

  static Scenario of(String name, String rules, Play play) {
    return new Scenario(name, List.of(rules.split(" ", -1)), play);
  }

  /** What the instrument does. */
  interface Play {

    /**
     * Plays it.
     *
     * @throws Broken if the bridge does what it must not, or does not what it must
     * @throws NotSeen if it cannot be told
     * @throws LinkException if the bridge closed the link, which it need not here
     */
    void play(PlayedInstrument instrument) throws Broken, NotSeen, LinkException;
  }
}
