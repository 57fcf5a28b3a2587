package org.tallywire.format;

import java.math.BigDecimal;
import java.util.LinkedHashMap;
import java.util.Map;
import java.util.Optional;
import java.util.function.Function;
import java.util.regex.Pattern;
import org.tallywire.acceptance.CriteriaTable;
import org.tallywire.acceptance.Criterion.Kind;
import org.tallywire.acceptance.Criterion.Setting;
import org.tallywire.acceptance.Repeatability;
import org.tallywire.acceptance.Rule;
import org.tallywire.acceptance.resistance.ConductorConstants;
import org.tallywire.acceptance.uncertainty.Accuracy;
import org.tallywire.acceptance.uncertainty.Decision.Rounding;

/**
 * What one file of criteria says. What it leaves out is left to the file that it extends; a member
 * that is {@code null} there takes away what that file has.
 *
 * @param accuracies by quantity; nothing where it is taken away
 * @param repeatability by quantity; nothing where it is taken away
 * @param criteria by kind; nothing where it is taken away
 */
record CriteriaLayer(
    Optional<BigDecimal> guard,
    Optional<Rounding> rounding,
    Optional<ConductorConstants> conductors,
    Map<String, Optional<Accuracy>> accuracies,
    Map<String, Optional<Repeatability>> repeatability,
    Map<Kind, Optional<Part>> criteria,
    YamlSection place) {

  private static final Pattern WORD = Pattern.compile("[a-z][a-z0-9-]{0,63}");

  /** Any characters but control characters; records have at most so many in a text. */
  private static final Pattern SENTENCES = Pattern.compile("(?:[^\\p{Cntrl}]|\n){1,2000}");

  private static final String SENTENCES_WORDS = "1 to 2000 characters without control characters";

  private static final int MOST_READINGS = 1000;

  /** Stands in where a rule is missing or wrong, so that reading goes on. */
  static final Rule NO_RULE = new Rule("", "", Rule.Certainty.PRACTICE);

  /**
   * What one file says about one criterion.
   *
   * @param settings those that it gives
   * @param uncertainty if it gives one
   * @param fromAccuracies whether it takes one away, so that it is computed
   * @param rule if it names one
   */
  record Part(
      Map<String, String> settings,
      Optional<BigDecimal> uncertainty,
      boolean fromAccuracies,
      Optional<Rule> rule) {}

  /** Reads the members that a file and a record have in common; the others were asked for. */
  static CriteriaLayer read(YamlSection top) {
    Optional<YamlSection> decision = top.section("decision");
    CriteriaLayer layer =
        new CriteriaLayer(
            decision.flatMap(d -> d.optionalDecimal("guard")).filter(g -> guard(top, g)),
            decision.filter(d -> d.has("rounding")).flatMap(CriteriaLayer::rounding),
            top.section("conductors").flatMap(CriteriaLayer::conductors),
            byQuantity(top, "accuracies", CriteriaLayer::accuracy),
            byQuantity(top, "repeatability", CriteriaLayer::repeatability),
            criteria(top),
            top);
    decision.ifPresent(YamlSection::end);
    return layer;
  }

  /** Returns a text of a person's that must be there. */
  static String sentences(YamlSection section, String key) {
    return section.text(key, SENTENCES, SENTENCES_WORDS);
  }

  private static boolean guard(YamlSection top, BigDecimal guard) {
    if (guard.signum() < 0) {
      top.problem("decision", "has the guard %s, which is below zero".formatted(guard));
    }
    return guard.signum() >= 0;
  }

  private static Optional<Rounding> rounding(YamlSection decision) {
    return decision.converted(
        "rounding",
        "absolute or to-limit",
        text ->
            switch (text) {
              case "absolute" -> Optional.of(Rounding.ABSOLUTE);
              case "to-limit" -> Optional.of(Rounding.TO_LIMIT);
              default -> Optional.empty();
            });
  }

  private static Optional<ConductorConstants> conductors(YamlSection section) {
    String name = section.text("name", WORD, "a word such as iec");
    Optional<BigDecimal> copper = positive(section, "copper");
    Optional<BigDecimal> aluminium = positive(section, "aluminium");
    String source = sentences(section, "source");
    Optional<Rule.Certainty> certainty = certainty(section);
    section.end();
    return copper.isPresent() && aluminium.isPresent() && certainty.isPresent()
        ? Optional.of(
            new ConductorConstants(
                name, copper.get(), aluminium.get(), source, certainty.get().word()))
        : Optional.empty();
  }

  private static Optional<Rule.Certainty> certainty(YamlSection section) {
    return section.converted("certainty", "found, memory, derived or practice", Rule.Certainty::of);
  }

  private static Optional<BigDecimal> positive(YamlSection section, String key) {
    int before = section.problems();
    BigDecimal number = section.decimal(key);
    if (section.problems() > before) {
      return Optional.empty();
    }
    if (number.signum() <= 0) {
      section.problem(key, "is %s, which is not above zero".formatted(number));
      return Optional.empty();
    }
    return Optional.of(number);
  }

  private static <T> Map<String, Optional<T>> byQuantity(
      YamlSection top, String key, Function<YamlSection, Optional<T>> reader) {
    Map<String, Optional<T>> found = new LinkedHashMap<>();
    Optional<YamlSection> section = top.section(key);
    if (section.isPresent()) {
      for (String quantity : CriteriaTable.quantities()) {
        if (section.get().isNull(quantity)) {
          found.put(quantity, Optional.empty());
        } else {
          section
              .get()
              .section(quantity)
              .flatMap(reader)
              .ifPresent(value -> found.put(quantity, Optional.of(value)));
        }
      }
      section.get().end();
    }
    return found;
  }

  private static Optional<Accuracy> accuracy(YamlSection section) {
    Accuracy accuracy =
        new Accuracy(
            part(section, "percent-of-reading"),
            BigDecimal.ZERO,
            BigDecimal.ZERO,
            part(section, "digits"),
            part(section, "absolute"),
            section.has("coverage") ? positive(section, "coverage") : Optional.empty());
    if (section.has("percent-of-range") || section.has("range")) {
      accuracy =
          accuracy.andOfRange(
              positive(section, "percent-of-range").orElse(BigDecimal.ONE),
              positive(section, "range").orElse(BigDecimal.ONE));
    } else if (!section.has("percent-of-reading")
        && !section.has("digits")
        && !section.has("absolute")) {
      section.problem("percent-of-reading", "is missing, and so is every other part of it");
    }
    section.end();
    return Optional.of(accuracy);
  }

  private static BigDecimal part(YamlSection section, String key) {
    return section.has(key) ? positive(section, key).orElse(BigDecimal.ZERO) : BigDecimal.ZERO;
  }

  private static Optional<Repeatability> repeatability(YamlSection section) {
    Optional<BigDecimal> percent = positive(section, "percent");
    int readings = section.whole("readings", 2, MOST_READINGS);
    section.end();
    return percent.map(p -> new Repeatability(p, readings));
  }

  private static Map<Kind, Optional<Part>> criteria(YamlSection top) {
    Map<Kind, Optional<Part>> found = new LinkedHashMap<>();
    Optional<YamlSection> criteria =
        top.has("extends") ? top.section("criteria") : top.requiredSection("criteria");
    criteria.ifPresent(
        section -> {
          for (Kind kind : Kind.values()) {
            if (section.isNull(kind.word())) {
              found.put(kind, Optional.empty());
            } else {
              section
                  .section(kind.word())
                  .ifPresent(one -> found.put(kind, Optional.of(part(kind, one))));
            }
          }
          section.end();
        });
    return found;
  }

  private static Part part(Kind kind, YamlSection section) {
    Map<String, String> settings = new LinkedHashMap<>();
    for (Setting setting : kind.settings()) {
      if (section.has(setting.name())) {
        settings.put(setting.name(), setting(section, setting));
      }
    }
    boolean fromAccuracies = section.isNull("uncertainty");
    Optional<BigDecimal> uncertainty =
        fromAccuracies ? Optional.empty() : section.optionalDecimal("uncertainty");
    if (uncertainty.filter(u -> u.signum() < 0).isPresent()) {
      section.problem("uncertainty", "is %s, which is below zero".formatted(uncertainty.get()));
    }
    Optional<Rule> rule = Optional.empty();
    if (section.has("rule")) {
      rule = Optional.of(section.section("rule").map(CriteriaLayer::rule).orElse(NO_RULE));
    } else if (!settings.isEmpty()) {
      section.problem("rule", "is missing: who gives a setting says where it comes from");
      rule = Optional.of(NO_RULE);
    }
    section.end();
    return new Part(settings, uncertainty.map(BigDecimal::abs), fromAccuracies, rule);
  }

  /** Returns the text of a setting; a stand-in if it is wrong, so that reading goes on. */
  private static String setting(YamlSection section, Setting setting) {
    return setting.sort() == Setting.Sort.POSITIVE
        ? positive(section, setting.name()).orElse(BigDecimal.ONE).toPlainString()
        : section
            .converted(
                setting.name(),
                "one of " + String.join(", ", setting.words()),
                text -> Optional.of(text).filter(setting.words()::contains))
            .orElse(setting.words().get(0));
  }

  private static Rule rule(YamlSection section) {
    Rule rule =
        new Rule(
            sentences(section, "text"),
            sentences(section, "source"),
            certainty(section).orElse(Rule.Certainty.PRACTICE));
    section.end();
    return rule;
  }
}
