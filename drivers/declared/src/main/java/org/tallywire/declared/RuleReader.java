package org.tallywire.declared;

import java.util.ArrayList;
import java.util.LinkedHashMap;
import java.util.LinkedHashSet;
import java.util.List;
import java.util.Map;
import java.util.Optional;
import java.util.Set;
import java.util.regex.Matcher;
import java.util.regex.Pattern;

/** Reads the rules of lines. */
final class RuleReader {

  private static final Pattern SPAN = Pattern.compile("([1-9][0-9]{0,3})(?:-([1-9][0-9]{0,3}))?");
  private static final int LONGEST_PATTERN = 500;
  private static final String EXAMPLE = "\"(?<value>[-+0-9.]+) OHM\"";

  private final int longest;
  private final Set<String> remembered = new LinkedHashSet<>();

  private RuleReader(int longest) {
    this.longest = longest;
  }

  /** Reads all rules; what a line remembers may be used by the rules of any other. */
  static List<LineRule> rules(Section top, int longest) {
    List<Section> sections = top.list("rules");
    if (sections.isEmpty()) {
      top.problem("rules", "is missing; write at least one rule with match and reading");
    }
    RuleReader reader = new RuleReader(longest);
    sections.forEach(keys -> reader.remembered.addAll(keys.texts("remember")));
    List<LineRule> rules = new ArrayList<>();
    for (Section keys : sections) {
      rules.add(reader.rule(keys, rules.size() + 1));
      keys.end();
    }
    if (!sections.isEmpty() && rules.stream().allMatch(rule -> rule.readings().isEmpty())) {
      top.problem("rules", "has no rule that gives a reading; write reading: in one of them");
    }
    return rules;
  }

  private LineRule rule(Section keys, int number) {
    String name = keys.optionalText("name", "a reading").orElse("rule " + number);
    Form form = form(keys);
    Set<String> known = new LinkedHashSet<>(form.fields());
    Map<String, Set<String>> where = where(keys, known);
    List<String> remember = keys.texts("remember");
    for (String field : remember) {
      use(keys, "remember", field, known);
    }
    boolean identifies = keys.flag("identify", false);
    if (identifies && known.stream().noneMatch(Understanding.IDENTITY::contains)) {
      keys.problem(
          "identify",
          "needs a field named maker, model, serial or firmware; name one so in this rule");
    }
    known.addAll(remembered);
    ReadingReader readings = new ReadingReader(known);
    LineRule rule =
        new LineRule(
            name,
            form,
            where,
            keys.word("block", blocks()).orElse(LineRule.Block.NONE),
            remember,
            identifies,
            keys.flag("started", false),
            keys.flag("error", false),
            keys.section("count").map(readings::count),
            keys.section("time").map(readings::time),
            readings.readings(keys));
    acts(keys, rule);
    return rule;
  }

  private static Map<String, LineRule.Block> blocks() {
    Map<String, LineRule.Block> words = Words.of(LineRule.Block.values());
    words.remove("none");
    return words;
  }

  private static void acts(Section keys, LineRule rule) {
    boolean acts =
        !rule.readings().isEmpty()
            || !rule.remember().isEmpty()
            || rule.identifies()
            || rule.started()
            || rule.error()
            || rule.block() != LineRule.Block.NONE;
    boolean ignored = keys.flag("ignore", false);
    if (acts && ignored) {
      keys.problem("ignore", "is in a rule that does something else; leave it out");
    } else if (!acts && !ignored && !keys.has("reading") && !keys.has("readings")) {
      keys.problem(
          "reading",
          "is missing, and the rule does nothing else; write reading: or remember: or ignore: true");
    }
    if (rule.readings().isEmpty() && (rule.count().isPresent() || rule.time().isPresent())) {
      keys.problem(
          rule.count().isPresent() ? "count" : "time", "belongs to a reading; write reading: too");
    }
  }

  private Form form(Section keys) {
    String begins = keys.optionalText("begins", "\"TR \"").orElse("");
    int forms = 0;
    for (String form : List.of("match", "columns", "separated")) {
      forms += keys.has(form) ? 1 : 0;
    }
    if (forms != 1) {
      keys.problem(
          "match", "or columns or separated is needed, one of them; write match: " + EXAMPLE);
    }
    if (keys.has("columns")) {
      return new Form.Columns(begins, columns(keys));
    }
    if (keys.has("separated")) {
      return separated(keys, begins);
    }
    if (keys.has("begins")) {
      keys.problem("begins", "is for columns and separated; put the text into match");
    }
    return new Form.Matched(regex(keys));
  }

  private static Regex regex(Section keys) {
    String text = keys.optionalText("match", EXAMPLE).orElse("");
    try {
      if (text.length() > LONGEST_PATTERN) {
        throw new RegexSyntaxException(
            "has more than %d characters; write two rules".formatted(LONGEST_PATTERN));
      }
      return Regex.of(text);
    } catch (RegexSyntaxException e) {
      keys.problem("match", String.valueOf(e.getMessage()));
      return Regex.NOTHING;
    }
  }

  private Map<String, Form.Span> columns(Section keys) {
    Map<String, Form.Span> columns = new LinkedHashMap<>();
    Optional<Section> section = keys.section("columns");
    if (section.isEmpty()) {
      return columns;
    }
    for (String name : section.get().keys()) {
      name(section.get(), name, name);
      section
          .get()
          .converted(name, "columns within 1 to %d".formatted(longest), "4-9", this::span)
          .ifPresent(span -> columns.put(name, span));
    }
    if (section.get().keys().isEmpty()) {
      keys.problem("columns", "has no field; write value: 4-9");
    }
    return columns;
  }

  private Optional<Form.Span> span(String text) {
    Matcher matcher = SPAN.matcher(text);
    if (!matcher.matches()) {
      return Optional.empty();
    }
    int first = Integer.parseInt(matcher.group(1));
    int last = matcher.group(2) == null ? first : Integer.parseInt(matcher.group(2));
    return last < first || last > longest
        ? Optional.empty()
        : Optional.of(new Form.Span(first, last));
  }

  private static Form separated(Section keys, String begins) {
    Optional<Section> section = keys.section("separated");
    if (section.isEmpty()) {
      return new Form.Separated(begins, ",", List.of());
    }
    String by = section.get().text("by", "\",\"");
    List<String> names = section.get().texts("fields");
    if (names.isEmpty()) {
      section.get().problem("fields", "is missing; write fields: [kind, value, _]");
    }
    Set<String> seen = new LinkedHashSet<>();
    for (String name : names) {
      if (!name.equals(Form.Separated.SKIPPED)) {
        name(section.get(), "fields", name);
        if (!seen.add(name)) {
          section.get().problem("fields", "has %s twice; name one otherwise".formatted(name));
        }
      }
    }
    section.get().end();
    return new Form.Separated(begins, by.isEmpty() ? "," : by, names);
  }

  private static void name(Section section, String key, String name) {
    if (!Fields.NAME.matcher(name).matches()) {
      section.problem(
          key, "\"%s\" is no field; write %s".formatted(Bytes.written(name), Fields.NAME_IN_WORDS));
    }
  }

  private static Map<String, Set<String>> where(Section keys, Set<String> known) {
    Map<String, Set<String>> where = new LinkedHashMap<>();
    Optional<Section> section = keys.section("where");
    if (section.isPresent()) {
      for (String field : section.get().keys()) {
        use(section.get(), field, field, known);
        where.put(field, Set.copyOf(section.get().texts(field)));
      }
    }
    return where;
  }

  /** Tells of a field that no line gives. */
  static void use(Section section, String key, String field, Set<String> known) {
    if (!known.contains(field)) {
      section.problem(
          key,
          "uses the field \"%s\", which the rule does not have; %s"
              .formatted(
                  Bytes.written(field),
                  known.isEmpty() ? "name it in match" : Words.choice(field, known)));
    }
  }
}
