package org.tallywire.link;

import java.io.ByteArrayOutputStream;
import java.util.BitSet;
import java.util.Set;

/**
 * Which Telnet options are on, each way, and what is to be said about them: an offer is answered
 * once, and nothing is said about what is so already (RFC 854, or two sides would answer each other
 * for ever). Used by one thread.
 */
final class TelnetOptions {

  static final int BINARY = 0; // RFC 856
  static final int SUPPRESS_GO_AHEAD = 3; // RFC 858
  static final int COM_PORT = 44; // RFC 2217

  private static final Set<Integer> WANTED = Set.of(BINARY, SUPPRESS_GO_AHEAD, COM_PORT);

  private final ByteArrayOutputStream answers = new ByteArrayOutputStream();
  private final BitSet ours = new BitSet();
  private final BitSet theirs = new BitSet();
  private final BitSet oursAsked = new BitSet();
  private final BitSet theirsAsked = new BitSet();
  private final BitSet oursRefused = new BitSet();
  private final BitSet theirsRefused = new BitSet();

  /** Offers to do it. */
  void offer(int option) {
    oursAsked.set(option);
    say(Telnet.WILL, option);
  }

  /** Asks the other side to do it. */
  void ask(int option) {
    theirsAsked.set(option);
    say(Telnet.DO, option);
  }

  /** Takes what came about an option. */
  void came(int verb, int option) {
    switch (verb) {
      case Telnet.DO -> wished(option, ours, oursAsked, Telnet.WILL, Telnet.WONT);
      case Telnet.WILL -> wished(option, theirs, theirsAsked, Telnet.DO, Telnet.DONT);
      case Telnet.DONT -> off(option, ours, oursAsked, oursRefused, Telnet.WONT);
      default -> off(option, theirs, theirsAsked, theirsRefused, Telnet.DONT);
    }
  }

  private void wished(int option, BitSet on, BitSet asked, int yes, int no) {
    if (!WANTED.contains(option)) {
      say(no, option);
    } else if (!on.get(option)) {
      if (!asked.get(option)) {
        say(yes, option);
      }
      on.set(option);
    }
  }

  private void off(int option, BitSet on, BitSet asked, BitSet refused, int confirm) {
    refused.set(option);
    if (on.get(option)) {
      on.clear(option);
      say(confirm, option);
    }
    asked.clear(option);
  }

  private void say(int verb, int option) {
    answers.writeBytes(Telnet.about(verb, option));
  }

  /** Tells whether we do it, as the other side wishes. */
  boolean isOurs(int option) {
    return ours.get(option);
  }

  /** Tells whether the other side does it, as we wish. */
  boolean isTheirs(int option) {
    return theirs.get(option);
  }

  /** Tells whether the other side will not have it, this way or that. */
  boolean isRefused(int option) {
    return oursRefused.get(option) || theirsRefused.get(option);
  }

  /** Returns what is to be sent now. */
  byte[] takeAnswers() {
    byte[] taken = answers.toByteArray();
    answers.reset();
    return taken;
  }
}
