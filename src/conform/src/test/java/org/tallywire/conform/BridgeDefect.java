package org.tallywire.conform;

import java.util.List;
import java.util.Locale;
import java.util.Optional;
import java.util.OptionalLong;
import java.util.regex.Matcher;
import java.util.regex.Pattern;
import org.tallywire.api.LinkException;

/** What may be wrong with a bridge, and what a report must say of it. */
enum BridgeDefect {
  ACKNOWLEDGES_TOO_MUCH("L-23b", "was the last that was sent") {
    @Override
    List<String> out(String body, VirtualBridge bridge) {
      return ack(body) ? List.of(changed(body, "seq", number(body, "seq") + 1)) : List.of(body);
    }
  },
  NEVER_ACKNOWLEDGES("L-23a", "no acknowledgement of 1") {
    @Override
    List<String> out(String body, VirtualBridge bridge) {
      return ack(body) ? List.of() : List.of(body);
    }
  },
  ACKNOWLEDGES_ANOTHER_BOOT_ID("L-23a", "another boot id than the session's") {
    @Override
    List<String> out(String body, VirtualBridge bridge) {
      return ack(body) ? List.of(changed(body, "boot", "other")) : List.of(body);
    }
  },
  DROPS_REPEATS_UNACKNOWLEDGED("L-25a", "the repeat of reading 3 was not acknowledged") {
    @Override
    List<String> in(String line, VirtualBridge bridge) {
      boolean known = line.startsWith("!reading") && number(line, "seq") <= bridge.last(boot(line));
      return known ? List.of() : List.of(line);
    }
  },
  IGNORES_START("L-15b", "of !start") {
    @Override
    List<String> in(String line, VirtualBridge bridge) {
      return List.of(line.startsWith("!start") ? Wire.checked("!weather") : line);
    }
  },
  IGNORES_ANOTHER_BOOT_ID("L-15b", "closed the link (another boot id in a reading") {
    @Override
    List<String> in(String line, VirtualBridge bridge) {
      if (line.startsWith("<hello") || line.startsWith("!start")) {
        bridge.memory().put("boot", boot(line));
      }
      boolean other = !boot(line).equals(bridge.memory().getOrDefault("boot", ""));
      return line.startsWith("!") && other ? List.of() : List.of(line);
    }
  },
  IGNORES_LOSSES("L-26b", "no acknowledgement of 6") {
    @Override
    List<String> in(String line, VirtualBridge bridge) {
      return line.startsWith("!lost") ? List.of() : List.of(line);
    }
  },
  SPEAKS_ANY_VERSION("L-12c", "speaks version 2.0: it went on with >channels") {
    @Override
    List<String> in(String line, VirtualBridge bridge) {
      return List.of(recheck(line.replaceAll(" version=[^ ]*", " version=1.1")));
    }
  },
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
  NEVER_REPEATS("L-29a", "not repeated, and the link was closed") {
    @Override
    List<String> out(String body, VirtualBridge bridge) {
      boolean again = body.equals(bridge.memory().put("last", body));
      return again && request(body) ? List.of() : List.of(body);
    }
  },
  REPEATS_AT_ONCE("L-29a", "was repeated after 0 ms") {
    @Override
    List<String> out(String body, VirtualBridge bridge) {
      return request(body) ? List.of(body, body) : List.of(body);
    }
  },
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
  ASKS_TWO_THINGS_AT_ONCE("L-16c", "was not answered; it is to be repeated as it was") {
    @Override
    List<String> out(String body, VirtualBridge bridge) {
      return body.startsWith(">channels")
          ? List.of(body, body.replace(">channels req=", ">clock req=7"))
          : List.of(body);
    }
  },
  NEVER_BEATS("L-28a", "the bridge said nothing for") {
    @Override
    List<String> out(String body, VirtualBridge bridge) {
      return body.startsWith(">beat") ? List.of() : List.of(body);
    }
  },
  DOES_NOT_NOTICE_SILENCE("L-28c", "the instrument is silent") {
    @Override
    boolean minds(LinkException e, VirtualBridge bridge) {
      return !String.valueOf(e.getMessage()).startsWith("no sign of life");
    }
  },
  GRANTS_NOTHING("L-35c", "credit is to be 1 to 64") {
    @Override
    List<String> out(String body, VirtualBridge bridge) {
      return List.of(body.replaceAll(" credit=[0-9]+", " credit=0"));
    }
  },
  GRANTS_TOO_MUCH("L-19a", "credit is to be 1 to 64") {
    @Override
    List<String> out(String body, VirtualBridge bridge) {
      return List.of(body.replaceAll(" credit=[0-9]+", " credit=65"));
    }
  },
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
  WRITES_LONG_LINES("L-6a", "no right line") {
    @Override
    List<String> out(String body, VirtualBridge bridge) {
      return List.of(body.startsWith(">beat") ? body + " pad=" + "x".repeat(300) : body);
    }
  },
  WRITES_A_KEY_TWICE("L-10a", "stands twice") {
    @Override
    List<String> out(String body, VirtualBridge bridge) {
      return List.of(body.startsWith(">beat") ? body + " a=1 a=2" : body);
    }
  },
  STARTS_MEASUREMENTS("L-36a", "of a kind that this protocol does not have: >measure") {
    @Override
    List<String> out(String body, VirtualBridge bridge) {
      return body.startsWith(">beat") ? List.of(">measure req=9 test=turns-ratio") : List.of(body);
    }
  },
  SPEAKS_AS_AN_INSTRUMENT("L-3", "the start mark of an instrument") {
    @Override
    List<String> out(String body, VirtualBridge bridge) {
      return List.of(body.startsWith(">beat") ? "!beat" : body);
    }
  },
  BEATS_BEFORE_THE_HELLO("L-12a", "the first line is to be >hello") {
    @Override
    List<String> out(String body, VirtualBridge bridge) {
      return body.startsWith(">hello") ? List.of(">beat", body) : List.of(body);
    }
  },
  NUMBERS_TOO_LONG("L-16a", "1 to 9 digits") {
    @Override
    List<String> out(String body, VirtualBridge bridge) {
      return List.of(body.replaceFirst(" req=", " req=123456789"));
    }
  },
  TAKES_DAMAGED_LINES("L-8a", "which it must not have taken") {
    @Override
    Optional<String> repair(String text) {
      int star = text.lastIndexOf('*');
      return star == text.length() - 5 && text.startsWith("!reading")
          ? Optional.of(Wire.checked(text.substring(0, star)))
          : Optional.empty();
    }
  },
  STOPS_AT_THE_UNREADABLE("L-27d", "v1=NaN") {
    @Override
    List<String> out(String body, VirtualBridge bridge) {
      boolean stuck = bridge.memory().getOrDefault("gap", "").equals("unreadable");
      return ack(body) && stuck ? List.of() : List.of(body);
    }
  },
  STOPS_AT_A_CONFLICT("L-25a", "a repeat with another value was not acknowledged") {
    @Override
    List<String> in(String line, VirtualBridge bridge) {
      return line.contains("v2=9.99") ? List.of() : List.of(line);
    }
  },
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
  ASKS_FOR_EVER("L-27b", "asked more than five times again") {
    @Override
    List<String> in(String line, VirtualBridge bridge) {
      if (!skips(line, bridge)) {
        return List.of(line);
      }
      bridge.say(
          ">send req=%d boot=%s after=%d credit=8"
              .formatted(
                  700 + System.identityHashCode(line) % 100, boot(line), bridge.last(boot(line))));
      return List.of();
    }
  },
  DOES_NOT_ASK_FOR_THE_SKIPPED("L-27a", ">send after=1 is due") {
    @Override
    List<String> in(String line, VirtualBridge bridge) {
      if (!skips(line, bridge)) {
        return List.of(line);
      }
      String lost = "!lost boot=%s from=%d to=%d";
      long last = bridge.last(boot(line));
      return List.of(
          Wire.checked(lost.formatted(boot(line), last + 1, number(line, "seq") - 1)), line);
    }
  },
  IGNORES_DIGESTS("L-33c", "which it must not have taken") {
    @Override
    List<String> in(String line, VirtualBridge bridge) {
      return List.of(recheck(line.replaceFirst(" digest=[0-9A-F]{8}", "")));
    }
  },
  ASKS_FOR_THE_CLOCK_UNASKED("L-34a", "does not say can=clock") {
    @Override
    List<String> out(String body, VirtualBridge bridge) {
      return ack(body) && body.contains(" seq=1 ") ? List.of(body, ">clock req=99") : List.of(body);
    }
  },
  TAKES_A_QUICK_BEAT("L-13a", "took a hello with beat=50") {
    @Override
    List<String> in(String line, VirtualBridge bridge) {
      return List.of(recheck(line.replaceFirst(" beat=50\\*", " beat=500*")));
    }
  },
  TAKES_TWO_COUNTS("L-17b", "the list is to be asked for again") {
    @Override
    List<String> in(String line, VirtualBridge bridge) {
      return List.of(recheck(line.replaceFirst(" of=3 ", " of=2 ")));
    }
  },
  TAKES_ANOTHER_LIST("L-17c", "took a reading by a second list") {
    @Override
    List<String> in(String line, VirtualBridge bridge) {
      if (!line.startsWith("<channel") || !line.contains("winding-resistance")) {
        return List.of(line);
      }
      String first =
          "<channel req=%d n=%%d of=4 ch=%%d quantity=%%s".formatted(number(line, "req"));
      return List.of(
          Wire.checked(
              first.formatted(1, 1, "turns-ratio unit=1 resolution=0.0001 min=0.8 max=15000")),
          Wire.checked(first.formatted(2, 2, "excitation-current unit=mA")),
          Wire.checked(first.formatted(3, 3, "phase-displacement unit=deg")),
          Wire.checked(first.formatted(4, 4, "test-voltage unit=V")));
    }
  },
  REPEATS_WHAT_WAS_REFUSED("L-30a", "after error 299") {
    @Override
    List<String> in(String line, VirtualBridge bridge) {
      return List.of(recheck(line.replaceFirst(" code=2[0-9]{2}", " code=401")));
    }
  },
  REPEATS_UNDER_A_LOST_BOOT_ID("L-30a", "is to begin anew with >hello") {
    @Override
    List<String> in(String line, VirtualBridge bridge) {
      return List.of(recheck(line.replaceFirst(" code=302", " code=401")));
    }
  },
  MINDS_ERRORS_OF_OLD_REQUESTS("L-30d", "began anew after an error") {
    @Override
    List<String> in(String line, VirtualBridge bridge) {
      return line.startsWith("<error req=999999997")
          ? List.of(Wire.checked("!start boot=" + bridge.memory().getOrDefault("boot", "x")))
          : List.of(line);
    }
  },
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
  STUMBLES_OVER_LOWER_CASE("L-5b", "no acknowledgement of") {
    @Override
    List<String> in(String line, VirtualBridge bridge) {
      String check = line.substring(line.length() - 4);
      return check.equals(check.toUpperCase(Locale.ROOT)) ? List.of(line) : List.of();
    }
  },
  NEVER_COMES_BACK("L-29d", "did not open the link again within 15 s") {
    @Override
    boolean comesBack() {
      return false;
    }
  },
  NONE("", "");

  private final String rule;
  private final String words;

  BridgeDefect(String rule, String words) {
    this.rule = rule;
    this.words = words;
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
    return List.of(body);
  }

  /** Returns what is heard in place of an undamaged line. */
  List<String> in(String line, VirtualBridge bridge) {
    return List.of(line);
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
    return true;
  }

  private static boolean ack(String body) {
    return body.startsWith(">ack");
  }

  private static boolean request(String body) {
    return body.contains(" req=");
  }

  private static boolean skips(String line, VirtualBridge bridge) {
    return line.startsWith("!reading") && number(line, "seq") > bridge.last(boot(line)) + 1;
  }

  private static String boot(String line) {
    return field(line, "boot");
  }

  private static long number(String line, String key) {
    String text = field(line, key);
    return text.matches("[0-9]{1,18}") ? Long.parseLong(text) : 0;
  }

  private static String field(String line, String key) {
    Matcher field = Pattern.compile(" " + key + "=([^ *]*)").matcher(line);
    return field.find() ? field.group(1) : "";
  }

  private static String changed(String body, String key, Object value) {
    return body.replaceFirst(" " + key + "=[^ ]*", " " + key + "=" + value);
  }

  private static String recheck(String line) {
    return Wire.checked(line.substring(0, line.length() - 5));
  }
}
