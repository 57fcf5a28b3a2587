package org.tallywire.conform;

import java.util.List;
import java.util.regex.Matcher;
import java.util.regex.Pattern;

/**
 * What becomes of the lines of a bridge that has a defect.
 *
 * @param out what is said in place of a line, without check values
 * @param in what is heard in place of an undamaged line
 */
record Changes(Change out, Change in) {

  static final Changes NONE =
      new Changes((body, bridge) -> List.of(body), (line, bridge) -> List.of(line));

  /** What becomes of one line. */
  interface Change {
    List<String> of(String line, VirtualBridge bridge);
  }

  static Changes saying(Change change) {
    return new Changes(change, NONE.in);
  }

  static Changes hearing(Change change) {
    return new Changes(NONE.out, change);
  }

  /** Leaves out lines with this beginning. */
  static Changes omits(String start) {
    return saying((body, bridge) -> body.startsWith(start) ? List.of() : List.of(body));
  }

  /** Does not hear lines with this beginning. */
  static Changes misses(String start) {
    return hearing((line, bridge) -> line.startsWith(start) ? List.of() : List.of(line));
  }

  /** Says other words than the driver. */
  static Changes rewords(String pattern, String words) {
    return saying((body, bridge) -> List.of(body.replaceAll(pattern, words)));
  }

  /** Hears other words than were said. */
  static Changes mishears(String pattern, String words) {
    return hearing((line, bridge) -> List.of(recheck(line.replaceAll(pattern, words))));
  }

  static boolean ack(String body) {
    return body.startsWith(">ack");
  }

  static boolean request(String body) {
    return body.contains(" req=");
  }

  static boolean skips(String line, VirtualBridge bridge) {
    return line.startsWith("!reading") && number(line, "seq") > bridge.last(boot(line)) + 1;
  }

  static String boot(String line) {
    return field(line, "boot");
  }

  static long number(String line, String key) {
    String text = field(line, key);
    return text.matches("[0-9]{1,18}") ? Long.parseLong(text) : 0;
  }

  static String field(String line, String key) {
    Matcher field = Pattern.compile(" " + key + "=([^ *]*)").matcher(line);
    return field.find() ? field.group(1) : "";
  }

  static String changed(String body, String key, Object value) {
    return body.replaceFirst(" " + key + "=[^ ]*", " " + key + "=" + value);
  }

  static String recheck(String line) {
    return Wire.checked(line.substring(0, line.length() - 5));
  }
}
