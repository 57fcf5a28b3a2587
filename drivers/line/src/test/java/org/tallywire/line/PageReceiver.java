package org.tallywire.line;

import java.io.IOException;
import java.nio.charset.StandardCharsets;
import java.nio.file.Files;
import java.util.ArrayList;
import java.util.LinkedHashMap;
import java.util.List;
import java.util.Locale;
import java.util.Map;
import java.util.Optional;
import org.tallywire.kit.Abnf;
import org.tallywire.kit.AbnfRecogniser;

/**
 * A second receiver, slow and plain, to hold the first to: the table of {@code
 * shared/vectors/line/README.md}, with the grammar read from the page itself.
 */
final class PageReceiver {

  private static final int LONGEST = 240;
  private static final int CHECK_LENGTH = 5;

  private final AbnfRecogniser recogniser;

  PageReceiver() throws IOException {
    recogniser = new AbnfRecogniser(grammar());
  }

  static Abnf grammar() throws IOException {
    return Abnf.ofPage(Files.readString(VectorFiles.PAGE));
  }

  List<Outcome> outcomes(byte[] bytes) {
    String text = new String(bytes, StandardCharsets.ISO_8859_1);
    List<Outcome> outcomes = new ArrayList<>();
    int from = 0;
    for (int end = text.indexOf('\n'); end >= 0; end = text.indexOf('\n', from)) {
      String held = text.substring(from, end);
      add(held.endsWith("\r") ? held.substring(0, held.length() - 1) : held, outcomes);
      from = end + 1;
    }
    return outcomes;
  }

  private void add(String held, List<Outcome> outcomes) {
    if (held.isEmpty()) {
      return;
    }
    List<Integer> starts = new ArrayList<>();
    for (int i = Math.max(0, held.length() - LONGEST); i < held.length(); i++) {
      if (isMark(held.charAt(i)) && undamaged(held.substring(i))) {
        starts.add(i);
      }
    }
    for (int start : starts) {
      Optional<Outcome> line = line(held.substring(start));
      if (line.isPresent()) {
        addJoined(start, line.get(), outcomes);
        return;
      }
    }
    if (!starts.isEmpty()) {
      addJoined(starts.get(0), Outcome.fault("syntax"), outcomes);
    } else if (held.length() > LONGEST) {
      outcomes.add(Outcome.fault("too-long"));
    } else {
      outcomes.add(Outcome.fault(isMark(held.charAt(0)) ? "damaged" : "noise"));
    }
  }

  private static void addJoined(int start, Outcome outcome, List<Outcome> outcomes) {
    if (start > 0) {
      outcomes.add(new Outcome.Fault("noise", true));
    }
    outcomes.add(outcome);
  }

  private static boolean isMark(char c) {
    return c == '>' || c == '<' || c == '!';
  }

  private static boolean undamaged(String text) {
    int star = text.length() - CHECK_LENGTH;
    return star > 0
        && text.chars().allMatch(c -> c >= 0x20 && c <= 0x7E)
        && text.substring(star).equalsIgnoreCase("*" + check(text.substring(0, star)));
  }

  /** Returns the check value of L-5a, bit by bit. */
  static String check(String body) {
    int register = 0xFFFF;
    for (int i = 0; i < body.length() * 8; i++) {
      int bit = body.charAt(i / 8) >> (7 - i % 8) & 1;
      boolean out = (register >> 15 ^ bit) == 1;
      register = register << 1 & 0xFFFF;
      register ^= out ? 0x1021 : 0;
    }
    return String.format(Locale.ROOT, "%04X", register);
  }

  /** Returns an undamaged text as a line, if it is of the grammar and has no key twice. */
  private Optional<Outcome> line(String text) {
    if (!recogniser.matches("line", text + "\n")) {
      return Optional.empty();
    }
    // of the grammar: so blanks stand between fields only, and the first = behind the key
    String[] parts = text.substring(1, text.length() - CHECK_LENGTH).split(" ", -1);
    Map<String, String> fields = new LinkedHashMap<>();
    for (int i = 1; i < parts.length; i++) {
      int equals = parts[i].indexOf('=');
      String value = unescaped(parts[i].substring(equals + 1));
      if (fields.put(parts[i].substring(0, equals), value) != null) {
        return Optional.empty();
      }
    }
    return Optional.of(new Outcome.Line(text.charAt(0), parts[0], fields));
  }

  /** Returns a value of the grammar without escapes. */
  static String unescaped(String value) {
    StringBuilder bytes = new StringBuilder();
    for (int i = 0; i < value.length(); i++) {
      boolean escape = value.charAt(i) == '%';
      bytes.append(
          escape ? (char) Integer.parseInt(value.substring(i + 1, i + 3), 16) : value.charAt(i));
      i += escape ? 2 : 0;
    }
    return new String(Outcome.bytes(bytes.toString()), StandardCharsets.UTF_8);
  }
}
