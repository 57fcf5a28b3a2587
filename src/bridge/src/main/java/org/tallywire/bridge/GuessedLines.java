package org.tallywire.bridge;

import java.nio.charset.StandardCharsets;
import java.util.ArrayList;
import java.util.LinkedHashMap;
import java.util.LinkedHashSet;
import java.util.List;
import java.util.Map;
import java.util.Optional;
import java.util.regex.Pattern;
import java.util.stream.Collectors;

/** How a meter's lines are cut, and the rules for them, guessed from what it said. */
final class GuessedLines {

  private static final char STX = 2;
  private static final char ETX = 3;
  private static final int MOST_RULES = 40;

  private final String text;
  private final String atStart;
  private final boolean framed;
  private final List<String> lines = new ArrayList<>();
  private final List<String> checks = new ArrayList<>();
  private final List<String> remarks = new ArrayList<>();
  private final List<GuessedRule> rules = new ArrayList<>();
  private boolean commas;

  /**
   * @param answers all that the meter said
   * @param atStart the part of it that is about itself, and no reading
   */
  GuessedLines(byte[] answers, byte[] atStart) {
    this.atStart = new String(atStart, StandardCharsets.ISO_8859_1);
    this.text = new String(answers, StandardCharsets.ISO_8859_1);
    this.framed = text.indexOf(STX) >= 0 && text.indexOf(ETX) > text.indexOf(STX);
    if (framed) {
      cutFrames();
    } else {
      cutLines();
    }
    numbers();
    rules();
  }

  private void cutFrames() {
    for (String piece : text.split(String.valueOf(STX), -1)) {
      int end = piece.indexOf(ETX);
      if (end >= 0) {
        lines.add(piece.substring(0, end));
        checks.add(piece.substring(end + 1).replaceAll("[\r\n]", ""));
      }
    }
    remarks.add("a message stands between STX (02 hex) and ETX (03 hex); sure");
  }

  private void cutLines() {
    for (String line : text.split("[\r\n]+", -1)) {
      if (!line.isBlank()) {
        lines.add(line);
      }
    }
    int both = count("\r\n");
    int cr = count("\r") - both;
    int lf = count("\n") - both;
    remarks.add(
        "lines end with CR LF (%d), CR (%d), LF (%d): any of them is taken for an end"
            .formatted(both, cr, lf));
  }

  private int count(String what) {
    return (text.length() - text.replace(what, "").length()) / what.length();
  }

  /** A comma is a decimal mark if it stands between digits alone. */
  private void numbers() {
    List<String> bare = lines.stream().map(l -> l.replaceAll("-+,-+", "")).toList();
    boolean between = lines.stream().anyMatch(l -> l.matches(".*[0-9],[0-9].*"));
    boolean elsewhere = bare.stream().anyMatch(l -> l.matches(".*([^0-9],[^ ]|,[^0-9 ]).*"));
    boolean often = lines.stream().anyMatch(l -> l.matches(".*[0-9],[0-9]+,[0-9].*"));
    commas = between && !elsewhere && !often;
    if (commas) {
      remarks.add("numbers have a decimal comma; fairly sure");
    } else if (between) {
      remarks.add(
          "commas stand between digits and elsewhere too: they are taken for separators; if they are"
              + " decimal marks, write numbers: {decimal: ','} and the rules anew");
    }
    for (String by : List.of(";", ",", "\t", "|")) {
      if (!(commas && by.equals(","))) {
        long with = lines.stream().filter(l -> l.split(Pattern.quote(by), -1).length > 2).count();
        if (with > 0) {
          remarks.add(
              "fields are separated by %s in %d of %d lines"
                  .formatted(by.equals("\t") ? "tabulators" : by, with, lines.size()));
        }
      }
    }
  }

  private void rules() {
    List<List<LineToken>> all =
        lines.stream().map(line -> LineToken.of(line.strip(), commas)).toList();
    Map<String, String> phases =
        MeterWords.phases(
            all.stream()
                .filter(t -> !t.isEmpty() && t.get(0).kind() == LineToken.Kind.WORD)
                .map(tokens -> tokens.get(0).text())
                .collect(Collectors.toCollection(LinkedHashSet::new)));
    Map<String, List<List<LineToken>>> byShape = new LinkedHashMap<>();
    for (List<LineToken> tokens : all) {
      byShape.computeIfAbsent(shape(tokens, phases), key -> new ArrayList<>()).add(tokens);
    }
    byShape.values().stream()
        .limit(MOST_RULES)
        .forEach(
            alike ->
                rules.add(new GuessedRule(alike, commas, atStart.contains(whole(alike)), phases)));
    if (byShape.size() > MOST_RULES) {
      remarks.add(
          "there are %d kinds of lines; the first %d have a rule"
              .formatted(byShape.size(), MOST_RULES));
    }
    long single = rules.stream().filter(GuessedRule::gives).count();
    if (single > 2) {
      remarks.add(
          "%d kinds of lines give a reading each; if several belong to one reading, make a block of"
                  .formatted(single)
              + " them (block: begins, inside, ends)");
    }
  }

  private static String whole(List<List<LineToken>> alike) {
    return alike.get(0).stream().map(LineToken::text).collect(Collectors.joining());
  }

  /** Lines that begin with different words are of different kinds. */
  private static String shape(List<LineToken> tokens, Map<String, String> phases) {
    StringBuilder shape = new StringBuilder();
    for (LineToken token : tokens) {
      boolean first = shape.isEmpty() && token.kind() == LineToken.Kind.WORD;
      boolean label =
          token.text().matches("[ABC]")
              || MeterWords.state(token.text()).isPresent()
              || token.text().matches("(HV|LV|TV).*");
      boolean phase = first && phases.containsKey(token.text());
      shape.append(
          phase
              ? token.text().substring(0, token.text().length() - 1) + "_phase"
              : first && !label ? LetteredNumber.withoutNumber(token.text()) : token.shape());
    }
    return shape.toString();
  }

  boolean isFramed() {
    return framed;
  }

  List<String> remarks() {
    return remarks;
  }

  /** Tells whether a reading comes of any line. */
  boolean gives() {
    return rules.stream().anyMatch(GuessedRule::gives);
  }

  /** Returns whatever check value seems to stand behind every message; its number of digits. */
  int checkDigits() {
    Optional<Integer> digits = checks.stream().map(String::length).distinct().reduce((a, b) -> -1);
    return digits.orElse(0);
  }

  int count() {
    return lines.size();
  }

  /** Returns the part of a file that says how lines are cut. */
  List<String> yaml(String check, boolean echo) {
    List<String> yaml = new ArrayList<>();
    int longest = lines.stream().mapToInt(String::length).max().orElse(80);
    yaml.add("lines:");
    if (framed) {
      yaml.add("  start: \"\\x02\"");
      yaml.add("  end: \"\\x03\"");
    }
    yaml.add("  longest: %d".formatted(Math.min(2048, Math.max(40, longest * 2))));
    if (echo) {
      yaml.add("  echo: true");
    }
    if (lines.stream().anyMatch(l -> !l.matches("[ -~\t]*"))) {
      yaml.add("  characters: latin-1");
    }
    if (commas) {
      yaml.add("numbers:");
      yaml.add("  decimal: ','");
      if (lines.stream().anyMatch(l -> l.matches(".*[0-9]\\.[0-9]{3},[0-9].*"))) {
        yaml.add("  thousands: '.'");
      }
    }
    if (!check.isEmpty()) {
      yaml.add("# guessed: this check value fits all %d messages; sure".formatted(lines.size()));
      yaml.add("check: " + check);
    }
    yaml.add("rules:");
    int number = 1;
    for (GuessedRule rule : rules) {
      yaml.addAll(rule.yaml("kind %d of line".formatted(number++)));
    }
    return yaml;
  }
}
