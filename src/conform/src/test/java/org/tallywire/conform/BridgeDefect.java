package org.tallywire.conform;

import static org.tallywire.conform.Changes.ack;
import static org.tallywire.conform.Changes.boot;
import static org.tallywire.conform.Changes.changed;
import static org.tallywire.conform.Changes.hearing;
import static org.tallywire.conform.Changes.mishears;
import static org.tallywire.conform.Changes.misses;
import static org.tallywire.conform.Changes.number;
import static org.tallywire.conform.Changes.omits;
import static org.tallywire.conform.Changes.recheck;
import static org.tallywire.conform.Changes.request;
import static org.tallywire.conform.Changes.rewords;
import static org.tallywire.conform.Changes.saying;
import static org.tallywire.conform.Changes.skips;

import java.util.List;
import java.util.Locale;
import java.util.Optional;
import java.util.OptionalLong;
import java.util.stream.IntStream;
import org.tallywire.api.LinkException;

/** What may be wrong with a bridge, and what a report must say of it. */
enum BridgeDefect {
  ACKNOWLEDGES_TOO_MUCH(
      "L-23b",
      "was the last that was sent",
      saying(
          (body, bridge) ->
              ack(body) ? List.of(changed(body, "seq", number(body, "seq") + 1)) : List.of(body))),
  NEVER_ACKNOWLEDGES("L-23a", "no acknowledgement of 1", omits(">ack")),
  ACKNOWLEDGES_ANOTHER_BOOT_ID(
      "L-23a",
      "another boot id than the session's",
      saying(
          (body, bridge) -> ack(body) ? List.of(changed(body, "boot", "other")) : List.of(body))),
  DROPS_REPEATS_UNACKNOWLEDGED(
      "L-25a",
      "the repeat of reading 3 was not acknowledged",
      hearing(
          (line, bridge) -> {
            boolean known =
                line.startsWith("!reading") && number(line, "seq") <= bridge.last(boot(line));
            return known ? List.of() : List.of(line);
          })),
  IGNORES_START(
      "L-15b",
      "of !start",
      hearing(
          (line, bridge) -> List.of(line.startsWith("!start") ? Wire.checked("!weather") : line))),
  IGNORES_ANOTHER_BOOT_ID(
      "L-15b",
      "closed the link (another boot id in a reading",
      hearing(
          (line, bridge) -> {
            if (line.startsWith("<hello") || line.startsWith("!start")) {
              bridge.memory().put("boot", boot(line));
            }
            boolean other = !boot(line).equals(bridge.memory().getOrDefault("boot", ""));
            return line.startsWith("!") && other ? List.of() : List.of(line);
          })),
  IGNORES_LOSSES("L-26b", "no acknowledgement of 6", misses("!lost")),
  SPEAKS_ANY_VERSION(
      "L-12c",
      "speaks version 2.0: it went on with >channels",
      mishears(" version=[^ ]*", " version=1.1")),
  REPEATS_WITH_A_NEW_NUMBER("L-16d", "to be repeated as it was") {
    @Override
    List<String> out(String body, VirtualBridge bridge) {
      boolean again = body.equals(bridge.memory().put("last", request(body) ? body : ""));
      return again ? List.of(changed(body, "req", number(body, "req") + 100)) : List.of(body);
    }

    @Override
    List<String> in(String line, VirtualBridge bridge) {
      return line.matches("<.* req=1[0-9][0-9] .*")
          ? List.of(recheck(line.replaceFirst(" req=10?", " req=")))
          : List.of(line);
    }
  },
  NEVER_REPEATS(
      "L-29a",
      "not repeated, and the link was closed",
      saying(
          (body, bridge) -> {
            boolean again = body.equals(bridge.memory().put("last", body));
            return again && request(body) ? List.of() : List.of(body);
          })),
  REPEATS_AT_ONCE(
      "L-29a",
      "was repeated after 0 ms",
      saying((body, bridge) -> request(body) ? List.of(body, body) : List.of(body))),
  REPEATS_FOR_EVER("L-29d", "asked once more after three repeats") {
    @Override
    List<String> out(String body, VirtualBridge bridge) {
      bridge.memory().put("last", body);
      return List.of(body);
    }

    @Override
    boolean minds(LinkException e, VirtualBridge bridge) {
      if (String.valueOf(e.getMessage()).startsWith("no answer")) {
        bridge.say(bridge.memory().getOrDefault("last", ""));
        return false;
      }
      return true;
    }
  },
  ASKS_TWO_THINGS_AT_ONCE(
      "L-16c",
      "was not answered; it is to be repeated as it was",
      saying(
          (body, bridge) ->
              body.startsWith(">channels")
                  ? List.of(body, body.replace(">channels req=", ">clock req=7"))
                  : List.of(body))),
  NEVER_BEATS("L-28a", "the bridge said nothing for", omits(">beat")),
  DOES_NOT_NOTICE_SILENCE("L-28c", "the instrument is silent") {
    @Override
    boolean minds(LinkException e, VirtualBridge bridge) {
      return !String.valueOf(e.getMessage()).startsWith("no sign of life");
    }
  },
  GRANTS_NOTHING("L-35c", "credit is to be 1 to 64", rewords(" credit=[0-9]+", " credit=0")),
  GRANTS_TOO_MUCH("L-19a", "credit is to be 1 to 64", rewords(" credit=[0-9]+", " credit=65")),
  WRITES_LOWER_CASE("L-5b", "to be sent in upper case") {
    @Override
    String check(String line) {
      int star = line.lastIndexOf('*');
      return line.substring(0, star) + line.substring(star).toLowerCase(Locale.ROOT);
    }
  },
  WRITES_NO_CHECK_VALUE("L-12a", "before its >hello") {
    @Override
    String check(String line) {
      return line.substring(0, line.lastIndexOf('*'));
    }
  },
  WRITES_A_WRONG_CHECK_VALUE_TO_A_BEAT("L-5a", "no right line") {
    @Override
    String check(String line) {
      return line.startsWith(">beat") ? line.substring(0, line.length() - 1) + "9" : line;
    }
  },
  WRITES_LONG_LINES("L-6a", "no right line", rewords("^>beat$", ">beat pad=" + "x".repeat(300))),
  WRITES_A_KEY_TWICE("L-10a", "stands twice", rewords("^>beat$", ">beat a=1 a=2")),
  STARTS_MEASUREMENTS(
      "L-36a",
      "of a kind that this protocol does not have: >measure",
      rewords("^>beat$", ">measure req=9 test=turns-ratio")),
  SPEAKS_AS_AN_INSTRUMENT("L-3a", "the start mark of an instrument", rewords("^>beat$", "!beat")),
  BEATS_BEFORE_THE_HELLO(
      "L-12a",
      "the first line is to be >hello",
      saying((body, bridge) -> body.startsWith(">hello") ? List.of(">beat", body) : List.of(body))),
  NUMBERS_TOO_LONG("L-16a", "1 to 9 digits", rewords(" req=", " req=123456789")),
  TAKES_DAMAGED_LINES("L-8a", "which it must not have taken") {
    @Override
    Optional<String> repair(String text) {
      int star = text.lastIndexOf('*');
      return star == text.length() - 5 && text.startsWith("!reading")
          ? Optional.of(Wire.checked(text.substring(0, star)))
          : Optional.empty();
    }
  },
  STOPS_AT_THE_UNREADABLE(
      "L-27d",
      "v1=NaN",
      saying(
          (body, bridge) -> {
            boolean stuck = bridge.memory().getOrDefault("gap", "").equals("unreadable");
            return ack(body) && stuck ? List.of() : List.of(body);
          })),
  STOPS_AT_A_CONFLICT(
      "L-25a",
      "a repeat with another value was not acknowledged",
      hearing((line, bridge) -> line.contains("v2=9.99") ? List.of() : List.of(line))),
  ASKS_FROM_THE_BEGINNING("L-19a", "was acknowledged, yet the bridge asks after=0") {
    @Override
    OptionalLong after(long last) {
      return OptionalLong.empty();
    }
  },
  SKIPS_WHAT_IT_DOES_NOT_HAVE("L-19a", "was not acknowledged, yet the bridge asks after=") {
    @Override
    OptionalLong after(long last) {
      return OptionalLong.of(last + 1);
    }
  },
  ASKS_FOR_EVER(
      "L-27b",
      "asked more than five times again",
      hearing(
          (line, bridge) -> {
            if (!skips(line, bridge)) {
              return List.of(line);
            }
            bridge.say(
                ">send req=%d boot=%s after=%d credit=8"
                    .formatted(
                        700 + System.identityHashCode(line) % 100,
                        boot(line),
                        bridge.last(boot(line))));
            return List.of();
          })),
  DOES_NOT_ASK_FOR_THE_SKIPPED(
      "L-27a",
      ">send after=1 is due",
      hearing(
          (line, bridge) -> {
            if (!skips(line, bridge)) {
              return List.of(line);
            }
            String lost = "!lost boot=%s from=%d to=%d";
            long last = bridge.last(boot(line));
            return List.of(
                Wire.checked(lost.formatted(boot(line), last + 1, number(line, "seq") - 1)), line);
          })),
  IGNORES_WHAT_BEATS_TELL(
      "L-27e", "beats told of reading 2", mishears("^(!beat .*) last=[0-9]+", "$1 last=0")),
  ASKS_SIX_TIMES(
      "L-27b",
      "asked more than five times again",
      saying(
          (body, bridge) -> {
            boolean asks = body.startsWith(">send") && body.contains(" after=1 ");
            boolean again = bridge.memory().put("asked", asks ? body : "") != null;
            return asks && again
                ? List.of(body, changed(body, "req", 600_000_000 + number(body, "req")))
                : List.of(body);
          })),
  WRITES_LEADING_ZEROS("L-38", "after is to be a whole number", rewords(" after=", " after=0")),
  BEGINS_WITH_THE_SAME_NUMBER(
      "L-16e",
      "on the link before",
      saying(
          (body, bridge) -> {
            String own = "" + number(body, "req");
            boolean hello = body.startsWith(">hello");
            if (hello) {
              bridge.memory().put("own", own);
            }
            return List.of(hello ? changed(body, "req", 5) : body);
          })) {
    @Override
    List<String> in(String line, VirtualBridge bridge) {
      String own = " req=" + bridge.memory().getOrDefault("own", "");
      return List.of(recheck(line.replaceFirst(" req=5(?= )", own)));
    }
  },
  IGNORES_DIGESTS(
      "L-33c",
      "which it must not have taken",
      hearing(
          (line, bridge) ->
              List.of(
                  line.contains(" digest=") && !line.contains("resent")
                      ? Wire.checked(Wire.digested(line.replaceFirst(" digest=.*", "")))
                      : line))),
  ASKS_FOR_THE_CLOCK_UNASKED(
      "L-34a",
      "does not say can=clock",
      saying(
          (body, bridge) ->
              ack(body) && body.contains(" seq=1 ")
                  ? List.of(body, ">clock req=99")
                  : List.of(body))),
  TAKES_A_QUICK_BEAT("L-13d", "took a hello with beat=50", mishears(" beat=50\\*", " beat=500*")),
  TAKES_TWO_COUNTS("L-17b", "the list is to be asked for again", mishears(" of=3 ", " of=2 ")),
  TAKES_ANOTHER_LIST(
      "L-17c",
      "took a reading by a second list",
      hearing(
          (line, bridge) ->
              line.startsWith("<channel") && line.contains("winding-resistance")
                  ? IntStream.rangeClosed(1, 4)
                      .mapToObj(n -> UsualAnswers.channel("" + number(line, "req"), n))
                      .map(Wire::checked)
                      .toList()
                  : List.of(line))),
  REPEATS_WHAT_WAS_REFUSED("L-30a", "after error 299", mishears(" code=2[0-9]{2}", " code=401")),
  REPEATS_UNDER_A_LOST_BOOT_ID(
      "L-30a", "is to begin anew with >hello", mishears(" code=302", " code=401")),
  MINDS_ERRORS_OF_OLD_REQUESTS(
      "L-30d",
      "began anew after an error",
      hearing(
          (line, bridge) ->
              line.startsWith("<error req=999999997")
                  ? List.of(
                      Wire.checked("!start boot=" + bridge.memory().getOrDefault("boot", "x")))
                  : List.of(line))),
  TAKES_READINGS_UNASKED("L-18", "acknowledged what it must not take") {
    @Override
    List<String> out(String body, VirtualBridge bridge) {
      bridge.memory().put("asked", body.startsWith(">channels") ? "channels" : "");
      return List.of(body);
    }

    @Override
    List<String> in(String line, VirtualBridge bridge) {
      if (line.startsWith("!reading") && "channels".equals(bridge.memory().get("asked"))) {
        bridge.say(">ack boot=%s seq=1 credit=1".formatted(boot(line)));
      }
      return List.of(line);
    }
  },
  STUMBLES_OVER_CARRIAGE_RETURNS("L-2b", "no acknowledgement of 2") {
    @Override
    byte[] bytes(byte[] bytes) {
      byte[] copy = bytes.clone();
      if (copy.length > 1 && copy[copy.length - 2] == '\r') {
        copy[copy.length - 2] = 'x';
      }
      return copy;
    }
  },
  STUMBLES_OVER_LOWER_CASE(
      "L-5b",
      "no acknowledgement of",
      hearing(
          (line, bridge) -> {
            String check = line.substring(line.length() - 4);
            return check.equals(check.toUpperCase(Locale.ROOT)) ? List.of(line) : List.of();
          })),
  NEVER_COMES_BACK("L-29d", "did not open the link again within 15 s"),
  NONE("", "");

  private final String rule;
  private final String words;

  /** A pair of functions that keep nothing. */
  @SuppressWarnings("ImmutableEnumChecker")
  private final Changes changes;

  BridgeDefect(String rule, String words) {
    this(rule, words, Changes.NONE);
  }

  BridgeDefect(String rule, String words, Changes changes) {
    this.rule = rule;
    this.words = words;
    this.changes = changes;
  }

  /** Returns the rule that is broken. */
  String rule() {
    return rule;
  }

  /** Returns words of the sentence that says so. */
  String words() {
    return words;
  }

  /** Returns what is sent in place of a line, without check values. */
  List<String> out(String body, VirtualBridge bridge) {
    return changes.out().of(body, bridge);
  }

  /** Returns what is heard in place of an undamaged line. */
  List<String> in(String line, VirtualBridge bridge) {
    return changes.in().of(line, bridge);
  }

  /** Returns what is heard in place of bytes. */
  byte[] bytes(byte[] bytes) {
    return bytes;
  }

  /** Returns the line as it is sent. */
  String check(String line) {
    return line;
  }

  /** Returns the line that is made of a damaged one. */
  Optional<String> repair(String text) {
    return Optional.empty();
  }

  /** Returns the last number on disk as the driver is told it. */
  OptionalLong after(long last) {
    return OptionalLong.of(last);
  }

  /** Tells whether the link is closed for this reason. */
  boolean minds(LinkException e, VirtualBridge bridge) {
    return true;
  }

  boolean comesBack() {
    return this != NEVER_COMES_BACK;
  }
}
