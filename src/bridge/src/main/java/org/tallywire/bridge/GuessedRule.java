package org.tallywire.bridge;

import java.util.ArrayList;
import java.util.HashSet;
import java.util.LinkedHashMap;
import java.util.LinkedHashSet;
import java.util.List;
import java.util.Map;
import java.util.Optional;
import java.util.Set;
import java.util.stream.Collectors;
import org.tallywire.bridge.LineToken.Kind;

/** A rule for lines of one shape, guessed from them, and what was guessed in words. */
final class GuessedRule {

  private static final Set<String> PHASES = Set.of("A", "B", "C", "ABC");
  private static final String WINDINGS = "(HV|LV|TV)([0-9])?(-(HV|LV|TV|earth|EARTH)([0-9])?)?";

  private final List<List<LineToken>> lines;
  private final boolean commas;
  private final boolean atStart;
  private final Map<String, String> phases;
  private final List<String> regex = new ArrayList<>();
  private final List<String> values = new ArrayList<>();
  private final Map<String, String> labels = new LinkedHashMap<>();
  private final List<String> remarks = new ArrayList<>();
  private final Set<String> quantities = new HashSet<>();
  private final Set<String> said = new HashSet<>();
  private String count = "";
  private final GuessedTime time = new GuessedTime();
  private String status = "";
  private int fields;

  /**
   * @param lines of one shape, cut; at least one
   * @param commas whether a comma is the decimal mark
   * @param atStart whether the meter says such about itself, at the beginning
   * @param phases by words at the beginning of lines
   */
  GuessedRule(
      List<List<LineToken>> lines, boolean commas, boolean atStart, Map<String, String> phases) {
    this.atStart = atStart;
    this.phases = phases;
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
      case OTHER -> regex.add(GuessText.escaped(first.text()));
      case DATE -> regex.add(time.date(texts(at), remarks));
      case CLOCK -> regex.add(time.clock(texts(at), remarks));
      case WORD -> {
        return word(at);
      }
      case NUMBER, MARK -> {
        return number(at);
      }
    }
    return 0;
  }

  private int word(int at) {
    Set<String> texts = texts(at);
    Optional<String> part =
        texts.size() == 1 ? MeterWords.identity(texts.iterator().next()) : Optional.empty();
    int more = part.isPresent() ? identity(at, part.get()) : 0;
    if (more == 0) {
      plainWord(at, texts);
    }
    return more;
  }

  /** Takes what a meter says of itself behind a word; returns how many pieces, 0 if none. */
  private int identity(int at, String part) {
    List<LineToken> line = lines.get(0);
    int from = at + 1;
    while (from < line.size() && line.get(from).text().matches("[ :=.#]+|(?i:no|nr|number)")) {
      from++;
    }
    int to = from;
    while (to < line.size() && !line.get(to).text().matches("[ ,;]+")) {
      to++;
    }
    if (to == from || !said.add(part)) {
      return 0;
    }
    line.subList(at, from)
        .forEach(t -> regex.add(t.kind() == Kind.BLANKS ? " +" : GuessText.escaped(t.text())));
    regex.add("(?<%s>[^ ,;]+)".formatted(part));
    remarks.add(
        "\"%s\" is taken for its %s"
            .formatted(
                line.subList(from, to).stream().map(LineToken::text).collect(Collectors.joining()),
                part));
    return to - at - 1;
  }

  /** Takes letters and a number in one, such as R0417, where the number is seen to vary. */
  private boolean lettered(int at, Set<String> texts) {
    Optional<LetteredNumber> found = LetteredNumber.of(texts);
    if (found.isEmpty()) {
      return false;
    }
    LetteredNumber lettered = found.get();
    if (texts.size() == 1) {
      remarks.add(lettered.onlyOne(lines.size()));
      return false;
    }
    String name = "number" + ++fields;
    if (lettered.isDecimal() && count.isEmpty() && rises(at)) {
      name = "number";
      count = name;
    } else if (lettered.isTap() && labels.putIfAbsent("tap", "{from: tap}") == null) {
      name = "tap";
    }
    regex.add(lettered.regex(name));
    remarks.add(lettered.remark(texts, name));
    return true;
  }

  private void plainWord(int at, Set<String> texts) {
    if (lettered(at, texts)) {
      return;
    }
    if (at == 0 && phases.keySet().containsAll(texts) && labels.isEmpty()) {
      Map<String, String> words = new LinkedHashMap<>();
      texts.forEach(text -> words.put(text, phases.getOrDefault(text, text)));
      regex.add(
          "(?<phase>%s)"
              .formatted(
                  words.keySet().stream()
                      .map(GuessText::escaped)
                      .collect(Collectors.joining("|"))));
      labels.put("phase", "{from: phase, words: %s}".formatted(GuessText.words(words)));
      remarks.add("%s look like the phases %s".formatted(texts, words.values()));
      return;
    }
    if (texts.size() == 1
        && MeterWords.state(texts.iterator().next()).isEmpty()
        && !texts.iterator().next().matches(WINDINGS)) {
      regex.add(GuessText.escaped(texts.iterator().next()));
      return;
    }
    boolean states = texts.stream().allMatch(t -> MeterWords.state(t).isPresent());
    if (states && status.isEmpty()) {
      regex.add("(?<state>%s)".formatted(GuessText.wordPattern(texts)));
      Map<String, String> meanings = new LinkedHashMap<>();
      texts.forEach(t -> meanings.put(t, MeterWords.state(t).orElse("ok")));
      status = GuessText.words(meanings);
      remarks.add("%s look like words of status; not sure what they mean".formatted(texts));
      return;
    }
    String label =
        PHASES.containsAll(texts)
            ? "phase"
            : texts.stream().allMatch(t -> t.matches(WINDINGS)) ? "windings" : "";
    if (!label.isEmpty() && labels.putIfAbsent(label, "{from: %s}".formatted(label)) == null) {
      regex.add("(?<%s>%s)".formatted(label, GuessText.wordPattern(texts)));
      remarks.add("%s look like the label %s".formatted(texts, label));
      return;
    }
    String name = "word" + ++fields;
    regex.add("(?<%s>%s)".formatted(name, GuessText.wordPattern(texts)));
    remarks.add(
        "%s change and are not understood: the field %s is not used".formatted(texts, name));
  }

  private int number(int at) {
    Set<String> texts = texts(at);
    int unitAt = unitAt(at);
    if (texts.equals(Set.of(GuessedNumber.NOT_MEASURED))) {
      regex.add(GuessedNumber.NOT_MEASURED);
      return 0;
    }
    if (unitAt < 0 || GuessedNumber.isOfAnotherStyle(texts, commas)) {
      bareNumber(at, texts);
      return 0;
    }
    String name = "value" + ++fields;
    regex.add("(?<%s>%s)".formatted(name, GuessedNumber.pattern(texts, commas)));
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
      regex.add(GuessText.escaped(units.keySet().iterator().next()));
    } else {
      String field = "unit" + fields;
      regex.add(
          "(?<%s>%s)"
              .formatted(
                  field,
                  units.keySet().stream()
                      .map(GuessText::escaped)
                      .collect(Collectors.joining("|"))));
      unitRule = "{from: %s, words: %s}".formatted(field, GuessText.words(units));
    }
    value(name, quantity(unit), units.size() == 1 ? GuessText.quoted(unitRule) : unitRule, texts);
    remarks.add(
        "%s in %s is taken for %s in %s; look whether that is so"
            .formatted(texts.iterator().next(), units.keySet(), last(), units.values()));
    if (units.containsKey("MOHM")) {
      remarks.add("MOHM is taken for megohms; some meters write milliohms so");
    }
    return unitAt - at;
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
    if (whole && isTap(at) && labels.putIfAbsent("tap", "{from: tap}") == null) {
      regex.add("(?<tap>[0-9]+)");
      remarks.add("the number behind TAP is taken for the label tap");
      return;
    }
    String name = "number" + ++fields;
    boolean decimals =
        !GuessedNumber.isOfAnotherStyle(texts, commas)
            && texts.stream()
                .anyMatch(t -> t.matches(".*[0-9][.,][0-9].*") || !t.matches(".*[0-9].*"));
    regex.add("(?<%s>%s)".formatted(name, GuessedNumber.pattern(texts, commas)));
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
      long before = LetteredNumber.digits(lines.get(i - 1).get(at).text());
      long now = LetteredNumber.digits(lines.get(i).get(at).text());
      if (now != before + 1) {
        return false;
      }
    }
    return lines.size() > 1 && LetteredNumber.digits(lines.get(0).get(at).text()) > 0;
  }

  private void value(String field, String quantity, String unit, Set<String> texts) {
    Map<String, String> marks = GuessedNumber.marks(texts);
    values.add(
        "{quantity: %s, from: %s, unit: %s%s%s}"
            .formatted(
                quantity,
                field,
                unit,
                marks.isEmpty() ? "" : ", words: " + GuessText.words(marks),
                texts.contains(GuessedNumber.NOT_MEASURED) ? ", dropped: ['-']" : ""));
    marks.forEach(
        (text, reason) -> remarks.add("\"%s\" is taken for %s; not sure".formatted(text, reason)));
  }

  /** Returns the rule as it stands in a file. */
  List<String> yaml(String name) {
    List<String> yaml = new ArrayList<>();
    yaml.add("  - name: " + GuessText.quoted(name));
    String by = atStart ? GuessText.separatorOfFour(text()) : "";
    if (!by.isEmpty()) {
      yaml.add("    # guessed: maker, model, serial and firmware, separated by " + by);
      yaml.add("    separated: {by: '%s', fields: [maker, model, serial, firmware]}".formatted(by));
      yaml.add("    identify: true");
      return yaml;
    }
    if (gives() || identifies()) {
      remarks.forEach(remark -> yaml.add("    # guessed: " + Visible.text(remark)));
    } else {
      yaml.add(
          "    # guessed: no value in lines such as \"%s\", since %s; they are ignored"
              .formatted(GuessText.shortened(text()), why()));
    }
    yaml.add("    match: " + GuessText.quoted(" *" + String.join("", regex) + " *"));
    if (identifies()) {
      yaml.add("    identify: true");
    }
    if (!gives()) {
      if (!identifies()) {
        yaml.add("    ignore: true");
      }
      return yaml;
    }
    if (!count.isEmpty()) {
      yaml.add("    count: {from: %s}".formatted(count));
    }
    yaml.addAll(time.yaml());
    yaml.add("    reading:");
    yaml.add("      values:");
    values.forEach(value -> yaml.add("        - " + value));
    String test = MeterWords.test(quantities);
    if (!test.isEmpty() || !labels.isEmpty()) {
      yaml.add("      labels:");
    }
    if (!test.isEmpty()) {
      yaml.add("        test: " + test);
    }
    labels.forEach((label, rule) -> yaml.add("        %s: %s".formatted(label, rule)));
    if (!status.isEmpty()) {
      yaml.add("      status: {from: state, words: %s}".formatted(status));
    }
    return yaml;
  }

  private boolean identifies() {
    return !said.isEmpty();
  }

  /** Returns why no value was seen in such lines. */
  private String why() {
    String numbers =
        lines.get(0).stream()
            .filter(LineToken::isNumber)
            .map(LineToken::text)
            .collect(Collectors.joining(", "));
    return numbers.isEmpty()
        ? "there is no number in them"
        : Visible.text(numbers) + " has neither a unit nor decimals";
  }

  private String text() {
    return lines.get(0).stream().map(LineToken::text).collect(Collectors.joining());
  }
}
