package org.tallywire.scpi;

import java.util.ArrayList;
import java.util.List;
import java.util.Locale;
import java.util.Optional;
import java.util.Set;
import java.util.regex.Pattern;
import org.tallywire.api.Command;

/**
 * Tells what a program message makes an instrument do, from its headers alone. Only a query that
 * neither measures, triggers, calibrates nor tests counts as one that only tells something;
 * everything else is declared as measuring, since it may put a voltage or a current on terminals.
 */
final class Effects {

  /** Short and long forms (SCPI-1999 volume 2, chapters 3, 5, 24; volume 1, 4.1.1). */
  private static final Set<String> MEASURING =
      Set.of(
          "MEAS",
          "MEASURE",
          "READ",
          "INIT",
          "INITIATE",
          "TRIG",
          "TRIGGER",
          "CAL",
          "CALIBRATION",
          "TEST",
          "DIAG",
          "DIAGNOSTIC",
          "*TRG",
          "*TST",
          "*CAL");

  private static final Pattern SUFFIX = Pattern.compile("[0-9]+$");

  private Effects() {}

  static Command.Effect of(String message) {
    return measuring(message).isPresent() ? Command.Effect.MEASURE : Command.Effect.QUERY;
  }

  /** Returns the first header that does more than tell something, with why. */
  static Optional<String> measuring(String message) {
    List<String> path = List.of();
    for (String unit : units(message)) {
      String header = unit.strip().split("[ \t]", 2)[0].toUpperCase(Locale.ROOT);
      boolean common = header.startsWith("*");
      boolean query = header.endsWith("?");
      String plain = query ? header.substring(0, header.length() - 1) : header;
      List<String> nodes = new ArrayList<>(common || plain.startsWith(":") ? List.of() : path);
      nodes.addAll(nodes(plain));
      if (!query) {
        return Optional.of(
            "%s is no query: it may change what the instrument does".formatted(header));
      }
      if (nodes.stream().anyMatch(MEASURING::contains)) {
        return Optional.of("%s starts a measurement".formatted(header));
      }
      if (!common) {
        path = nodes.subList(0, Math.max(0, nodes.size() - 1));
      }
    }
    return Optional.empty();
  }

  private static List<String> nodes(String header) {
    List<String> nodes = new ArrayList<>();
    for (String node : header.split(":", -1)) {
      if (!node.isEmpty()) {
        nodes.add(SUFFIX.matcher(node).replaceFirst(""));
      }
    }
    return nodes;
  }

  /** Cuts at semicolons that are in no string. */
  private static List<String> units(String message) {
    List<String> units = new ArrayList<>();
    int from = 0;
    char quote = 0;
    for (int i = 0; i < message.length(); i++) {
      char c = message.charAt(i);
      if (quote != 0) {
        quote = c == quote ? 0 : quote;
      } else if (c == '"' || c == '\'') {
        quote = c;
      } else if (c == ';') {
        units.add(message.substring(from, i));
        from = i + 1;
      }
    }
    units.add(message.substring(from));
    return units;
  }
}
