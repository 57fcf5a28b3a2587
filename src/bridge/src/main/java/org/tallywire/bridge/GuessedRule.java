package org.tallywire.bridge;

import java.util.ArrayList;
import java.util.HashSet;
import java.util.LinkedHashMap;
import java.util.LinkedHashSet;
import java.util.List;
import java.util.Map;
import java.util.Set;
import java.util.stream.Collectors;
import org.tallywire.bridge.LineToken.Kind;

/** A rule for lines of one shape, guessed from them, and what was guessed in words. */
final class GuessedRule {

  private static final Set<String> PHASES = Set.of("A", "B", "C", "ABC");
  private static final String WINDINGS = "(HV|LV|TV)([0-9])?(-(HV|LV|TV|earth|EARTH)([0-9])?)?";

  private static final String NOT_MEASURED = "-";

  private final List<List<LineToken>> lines;
  private final boolean commas;
  private final boolean atStart;
  private final List<String> regex = new ArrayList<>();
  private final List<String> values = new ArrayList<>();
  private final Map<String, String> labels = new LinkedHashMap<>();
  private final List<String> remarks = new ArrayList<>();
  private final Set<String> quantities = new HashSet<>();
  private String count = "";
  private String date = "";
  private String clock = "";
  private String datePattern = "";
  private String clockPattern = "";
  private String status = "";
  private int fields;

  /**
   * @param lines of one shape, cut; at least one
   * @param commas whether a comma is the decimal mark
   * @param atStart whether the meter says such about itself, at the beginning
   */
  GuessedRule(List<List<LineToken>> lines, boolean commas, boolean atStart) {
    this.atStart = atStart;
    this.lines = lines;
    this.commas = commas;
    for (int at = 0; at < lines.get(0).size(); at++) {
      at += take(at);
    }
  }

  /** Tells whether a reading comes of it. */
  boolean gives() {
    return !values.isEmpty() && !atStart;
  }

  List<String> remarks() {
    return remarks;
  }

  private Set<String> texts(int at) {
    return lines.stream()
        .map(line -> line.get(at).text())
        .collect(Collectors.toCollection(LinkedHashSet::new));
  }

  /** Takes the piece at a place; returns how many more it took. */
  private int take(int at) {
    LineToken first = lines.get(0).get(at);
    switch (first.kind()) {
      case BLANKS -> regex.add(" +");
      case OTHER -> regex.add(escaped(first.text()));
      case DATE -> date(texts(at));
      case CLOCK -> clock(texts(at));
      case WORD -> word(at);
      case NUMBER, MARK -> {
        return number(at);
      }
    }
    return 0;
  }

  private void date(Set<String> texts) {
    if (!date.isEmpty()) {
      regex.add("[0-9./-]+");
      return;
    }
    String text = texts.iterator().next();
    char between = text.replaceAll("[0-9]", "").charAt(0);
    String year = text.substring(text.lastIndexOf(between) + 1).length() == 4 ? "yyyy" : "yy";
    datePattern = between == '-' ? "yyyy-MM-dd" : "dd%1$cMM%1$c%2$s".formatted(between, year);
    date = "date";
    regex.add("(?<date>[0-9./-]+)");
    remarks.add(
        "\"%s\" looks like a date, %s%s"
            .formatted(text, datePattern, between == '-' ? "" : "; not sure: day or month first?"));
  }

  private void clock(Set<String> texts) {
    if (!clock.isEmpty()) {
      regex.add("[0-9:]+");
      return;
    }
    String text = texts.iterator().next();
    clockPattern = text.length() > 5 ? "HH:mm:ss" : "HH:mm";
    clock = "clock";
    regex.add("(?<clock>[0-9:]+)");
    remarks.add("\"%s\" looks like a time of day; not sure: in which zone?".formatted(text));
  }

  private void word(int at) {
    Set<String> texts = texts(at);
    if (texts.size() == 1
        && MeterWords.state(texts.iterator().next()).isEmpty()
        && !texts.iterator().next().matches(WINDINGS)) {
      regex.add(escaped(texts.iterator().next()));
      return;
    }
    boolean states = texts.stream().allMatch(t -> MeterWords.state(t).isPresent());
    if (states && status.isEmpty()) {
      regex.add("(?<state>%s)".formatted(wordPattern(texts)));
      status =
          texts.stream()
              .map(t -> "%s: %s".formatted(quoted(t), MeterWords.state(t).orElse("ok")))
              .collect(Collectors.joining(", "));
      remarks.add("%s look like words of status; not sure what they mean".formatted(texts));
      return;
    }
    String label =
        PHASES.containsAll(texts)
            ? "phase"
            : texts.stream().allMatch(t -> t.matches(WINDINGS)) ? "windings" : "";
    if (!label.isEmpty() && labels.putIfAbsent(label, label) == null) {
      regex.add("(?<%s>%s)".formatted(label, wordPattern(texts)));
      remarks.add("%s look like the label %s".formatted(texts, label));
      return;
    }
    String name = "word" + ++fields;
    regex.add("(?<%s>%s)".formatted(name, wordPattern(texts)));
    remarks.add(
        "%s change and are not understood: the field %s is not used".formatted(texts, name));
  }

  private static String wordPattern(Set<String> texts) {
    return texts.stream().allMatch(t -> t.matches("[ -~]*")) ? "[A-Za-z0-9%_-]+" : "\\S+";
  }

  private int number(int at) {
    Set<String> texts = texts(at);
    int unitAt = unitAt(at);
    if (texts.equals(Set.of(NOT_MEASURED))) {
      regex.add(NOT_MEASURED);
      return 0;
    }
    if (unitAt < 0 || isOfAnotherStyle(texts)) {
      bareNumber(at, texts);
      return 0;
    }
    String name = "value" + ++fields;
    regex.add("(?<%s>%s)".formatted(name, pattern(texts)));
    if (unitAt == at + 2) {
      regex.add(" +");
    }
    Map<String, String> units = new LinkedHashMap<>();
    for (String word : texts(unitAt)) {
      units.put(word, MeterWords.unit(word).orElse("1"));
    }
    String unit = units.values().iterator().next();
    String unitRule = unit;
    if (units.size() == 1) {
      regex.add(escaped(units.keySet().iterator().next()));
    } else {
      String field = "unit" + fields;
      regex.add(
          "(?<%s>%s)"
              .formatted(
                  field,
                  units.keySet().stream()
                      .map(GuessedRule::escaped)
                      .collect(Collectors.joining("|"))));
      unitRule =
          "{from: %s, words: {%s}}"
              .formatted(
                  field,
                  units.entrySet().stream()
                      .map(e -> quoted(e.getKey()) + ": " + quoted(e.getValue()))
                      .collect(Collectors.joining(", ")));
    }
    value(name, quantity(unit), units.size() == 1 ? quoted(unitRule) : unitRule, texts);
    remarks.add(
        "%s in %s is taken for %s in %s; look whether that is so"
            .formatted(texts.iterator().next(), units.keySet(), last(), units.values()));
    if (units.containsKey("MOHM")) {
      remarks.add("MOHM is taken for megohms; some meters write milliohms so");
    }
    return unitAt - at;
  }

  /** Tells whether a number has a decimal point where others have a comma. */
  private boolean isOfAnotherStyle(Set<String> texts) {
    return commas
        && texts.stream()
            .anyMatch(t -> t.contains(".") && !t.matches(".*[0-9]{1,3}(\\.[0-9]{3})+(,.*)?"));
  }

  private String last() {
    String text = values.get(values.size() - 1);
    return text.replaceAll(".*quantity: ([a-z0-9-]+),.*", "$1");
  }

  private String quantity(String unit) {
    String usual = MeterWords.quantity(unit);
    String name = usual.isEmpty() ? "value-" + fields : usual;
    return quantities.add(name) ? name : name + "-" + fields;
  }

  /** Returns where the unit behind a number stands, in all lines; -1 if there is none. */
  private int unitAt(int at) {
    for (int i = at + 1; i <= at + 2 && i < lines.get(0).size(); i++) {
      Kind kind = lines.get(0).get(i).kind();
      if (kind == Kind.WORD || kind == Kind.OTHER) {
        boolean all = texts(i).stream().allMatch(t -> MeterWords.unit(t).isPresent());
        return all ? i : -1;
      }
      if (kind != Kind.BLANKS) {
        return -1;
      }
    }
    return -1;
  }

  private void bareNumber(int at, Set<String> texts) {
    boolean whole = texts.stream().allMatch(t -> t.matches("[0-9]{1,9}"));
    if (whole && count.isEmpty() && rises(at)) {
      count = "number";
      regex.add("(?<number>[0-9]+)");
      remarks.add(
          "%s rises by one from line to line: taken for the meter's count".formatted(texts));
      return;
    }
    if (whole && isTap(at) && labels.putIfAbsent("tap", "tap") == null) {
      regex.add("(?<tap>[0-9]+)");
      remarks.add("the number behind TAP is taken for the label tap");
      return;
    }
    String name = "number" + ++fields;
    boolean decimals =
        !isOfAnotherStyle(texts)
            && texts.stream()
                .anyMatch(t -> t.matches(".*[0-9][.,][0-9].*") || !t.matches(".*[0-9].*"));
    regex.add("(?<%s>%s)".formatted(name, pattern(texts)));
    if (decimals) {
      value(name, quantity(""), "'1'", texts);
      remarks.add(
          "%s has no unit: recorded as %s without unit; write its quantity and unit"
              .formatted(texts.iterator().next(), last()));
    } else {
      remarks.add(
          "%s %s not understood: the field %s is not used"
              .formatted(
                  texts,
                  texts.size() == 1 && lines.size() > 2 ? "never changes and is" : "is",
                  name));
    }
  }

  private boolean isTap(int at) {
    int before = at - 1;
    while (before >= 0 && lines.get(0).get(before).text().matches("[ :=]+")) {
      before--;
    }
    return before >= 0 && lines.get(0).get(before).text().equalsIgnoreCase("TAP");
  }

  private boolean rises(int at) {
    for (int i = 1; i < lines.size(); i++) {
      long before = Long.parseLong(lines.get(i - 1).get(at).text());
      long now = Long.parseLong(lines.get(i).get(at).text());
      if (now != before + 1) {
        return false;
      }
    }
    return lines.size() > 1 && Long.parseLong(lines.get(0).get(at).text()) > 0;
  }

  private void value(String field, String quantity, String unit, Set<String> texts) {
    Map<String, String> marks = new LinkedHashMap<>();
    for (String text : texts) {
      if (!text.equals(NOT_MEASURED) && (!text.matches(".*[0-9].*") || text.matches("[<>].*"))) {
        marks.put(text, MeterWords.reason(text));
      }
    }
    String words =
        marks.entrySet().stream()
            .map(e -> quoted(e.getKey()) + ": " + e.getValue())
            .collect(Collectors.joining(", "));
    values.add(
        "{quantity: %s, from: %s, unit: %s%s%s}"
            .formatted(
                quantity,
                field,
                unit,
                marks.isEmpty() ? "" : ", words: {%s}".formatted(words),
                texts.contains(NOT_MEASURED) ? ", dropped: ['-']" : ""));
    marks.forEach((text, reason) -> remarks.add("\"%s\" is taken for %s".formatted(text, reason)));
  }

  private String pattern(Set<String> texts) {
    boolean exponent = texts.stream().anyMatch(t -> t.matches(".*[0-9][eE].*"));
    String number =
        "[-+]? ?[0-9.%s]+%s".formatted(commas ? "," : "", exponent ? "(?:[eE][-+]?[0-9]+)?" : "");
    String marks =
        texts.stream()
            .filter(t -> !t.matches(".*[0-9].*") || t.matches("[<>].*"))
            .map(GuessedRule::escaped)
            .collect(Collectors.joining("|"));
    return marks.isEmpty() ? number : marks + "|" + number;
  }

  /** Returns a text that a regular expression takes as it is. */
  static String escaped(String text) {
    return text.replaceAll("([\\\\.\\[\\]{}()*+?^$|])", "\\\\$1");
  }

  /** Returns a text in YAML's single quotes. */
  static String quoted(String text) {
    return "'" + text.replace("'", "''") + "'";
  }

  /** Returns the rule as it stands in a file. */
  List<String> yaml(String name) {
    List<String> yaml = new ArrayList<>();
    yaml.add("  - name: " + quoted(name));
    String by = atStart ? identitySeparator() : "";
    if (!by.isEmpty()) {
      yaml.add("    # guessed: maker, model, serial and firmware, separated by " + by);
      yaml.add("    separated: {by: '%s', fields: [maker, model, serial, firmware]}".formatted(by));
      yaml.add("    identify: true");
      return yaml;
    }
    if (gives()) {
      remarks.forEach(remark -> yaml.add("    # guessed: " + Visible.text(remark)));
    } else {
      yaml.add(
          "    # guessed: no value in lines such as \"%s\"; they are ignored".formatted(line()));
    }
    yaml.add("    match: " + quoted(" *" + String.join("", regex) + " *"));
    if (!gives()) {
      yaml.add("    ignore: true");
      return yaml;
    }
    if (!count.isEmpty()) {
      yaml.add("    count: {from: %s}".formatted(count));
    }
    if (!clock.isEmpty()) {
      String pattern = date.isEmpty() ? clockPattern : datePattern + " " + clockPattern;
      yaml.add(
          "    time: {from: [%s], pattern: %s, zone: UTC, clock: free}"
              .formatted(date.isEmpty() ? clock : date + ", " + clock, quoted(pattern)));
    }
    yaml.add("    reading:");
    yaml.add("      values:");
    values.forEach(value -> yaml.add("        - " + value));
    yaml.add("      labels:");
    yaml.add("        test: " + test());
    labels.forEach((label, from) -> yaml.add("        %s: {from: %s}".formatted(label, from)));
    if (!status.isEmpty()) {
      yaml.add("      status: {from: state, words: {%s}}".formatted(status));
    }
    return yaml;
  }

  /** Returns what separates the four fields of an identity; empty if it is none. */
  private String identitySeparator() {
    String text = lines.get(0).stream().map(LineToken::text).collect(Collectors.joining());
    for (String by : List.of(";", ",")) {
      if (text.split(by, -1).length == 4) {
        return by;
      }
    }
    return "";
  }

  private String line() {
    String text = lines.get(0).stream().map(LineToken::text).collect(Collectors.joining());
    return Visible.text(text.length() > 40 ? text.substring(0, 40) + "…" : text);
  }

  private String test() {
    for (String test : List.of("winding-resistance", "insulation-resistance", "turns-ratio")) {
      if (quantities.contains(test)) {
        return test;
      }
    }
    return quantities.contains("short-circuit-loss") ? "short-circuit-impedance" : "unknown";
  }
}
