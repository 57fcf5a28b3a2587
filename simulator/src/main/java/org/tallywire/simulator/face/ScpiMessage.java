package org.tallywire.simulator.face;

import java.util.ArrayDeque;
import java.util.ArrayList;
import java.util.Deque;
import java.util.List;
import java.util.Locale;
import java.util.Optional;
import java.util.regex.Matcher;
import java.util.regex.Pattern;
import org.tallywire.simulator.face.ScpiError.Fault;

/**
 * A program message, read unit by unit: IEEE 488.2, 7.3 to 7.6; the path of a header in a compound
 * message as SCPI-1999 volume 1, 6.2.4 has it (from memory).
 *
 * <p>A header without a leading colon begins where the one before it ended its last node but one;
 * with a colon it begins at the root. Common commands leave the path alone.
 */
final class ScpiMessage {

  private static final Pattern HEADER =
      Pattern.compile(
          "(\\*[A-Za-z][A-Za-z0-9_]*|:?[A-Za-z][A-Za-z0-9_]*(?::[A-Za-z][A-Za-z0-9_]*)*)(\\?)?");

  private static final int LONGEST_MNEMONIC = 12;

  private final Deque<String> units;
  private final boolean asks;
  private String path = "";

  /**
   * One program message unit.
   *
   * @param header in upper case from the root, nodes with colons between
   * @param query whether it ends with a question mark
   * @param parameters none, one or more
   */
  record Unit(String header, boolean query, List<ScpiParameter> parameters) {}

  ScpiMessage(String text) {
    units = text.isBlank() ? new ArrayDeque<>() : new ArrayDeque<>(split(text, ';'));
    asks = text.indexOf('?') >= 0;
  }

  /** Returns whether there is a query in it. */
  boolean asks() {
    return asks;
  }

  /** Returns whether more units follow. */
  boolean over() {
    return units.isEmpty();
  }

  /** Drops the units that are left. */
  void end() {
    units.clear();
  }

  /** Takes and reads the next unit. */
  Unit next() throws Fault {
    String text = units.remove();
    if (text.chars().anyMatch(c -> c >= 0x7F)) {
      throw new Fault(ScpiError.INVALID_CHARACTER);
    }
    text = text.replaceAll("[\\x00-\\x20]", " ").strip();
    if (text.isEmpty()) {
      throw new Fault(ScpiError.SYNTAX);
    }
    Matcher matcher = HEADER.matcher(text);
    if (!matcher.lookingAt()) {
      throw new Fault(ScpiError.COMMAND_HEADER);
    }
    if (matcher.end() < text.length() && text.charAt(matcher.end()) != ' ') {
      throw new Fault(ScpiError.HEADER_SEPARATOR);
    }
    String header = fromRoot(matcher.group(1).toUpperCase(Locale.ROOT));
    String rest = text.substring(matcher.end()).strip();
    return new Unit(
        header, matcher.group(2) != null, rest.isEmpty() ? List.of() : ScpiParameter.read(rest));
  }

  private String fromRoot(String written) throws Fault {
    for (String mnemonic : written.replaceFirst("^[*:]", "").split(":", -1)) {
      if (mnemonic.length() > LONGEST_MNEMONIC) {
        throw new Fault(ScpiError.MNEMONIC_TOO_LONG);
      }
    }
    if (written.startsWith("*")) {
      return written;
    }
    String header = written.startsWith(":") ? written.substring(1) : path + written;
    path = header.substring(0, header.lastIndexOf(':') + 1);
    return header;
  }

  /** Cuts a text at a character where it stands outside quotes. */
  static List<String> split(String text, char separator) {
    List<String> parts = new ArrayList<>();
    Optional<Character> quote = Optional.empty();
    int begin = 0;
    for (int i = 0; i < text.length(); i++) {
      char c = text.charAt(i);
      if (quote.isPresent()) {
        quote = quote.filter(open -> open != c);
      } else if (c == '"' || c == '\'') {
        quote = Optional.of(c);
      } else if (c == separator) {
        parts.add(text.substring(begin, i));
        begin = i + 1;
      }
    }
    parts.add(text.substring(begin));
    return parts;
  }
}
