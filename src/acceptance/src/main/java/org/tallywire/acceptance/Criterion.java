package org.tallywire.acceptance;

import java.math.BigDecimal;
import java.util.Arrays;
import java.util.Collections;
import java.util.List;
import java.util.Locale;
import java.util.Map;
import java.util.Optional;
import java.util.TreeMap;
import org.tallywire.acceptance.uncertainty.Bound;
import org.tallywire.api.Unit;

/**
 * One thing that is judged, as a table of criteria states it: what kind, its settings, the
 * uncertainty to allow for, and the rule it comes from.
 *
 * @param kind what is judged
 * @param settings by name, every one that the kind has; one left out has been given its default
 * @param uncertainty expanded (k = 2), in the unit of the limit; nothing where it is to be computed
 *     from the table's accuracies
 * @param rule where the limit comes from
 */
public record Criterion(
    Kind kind, Map<String, String> settings, Optional<BigDecimal> uncertainty, Rule rule) {

  public static final String LIMIT = "limit";

  static final String TENTH_OF_IMPEDANCE = "tenth-of-impedance";
  static final String NEAREST_TURN = "nearest-turn";
  static final String THRESHOLD = "threshold";
  static final String LIMIT_UP_TO = "limit-up-to";
  static final String LIMIT_ABOVE = "limit-above";
  static final String LIMIT_BELOW = "limit-below";
  static final String LIMIT_FROM = "limit-from";
  static final String VOLTAGE_SPREAD = "voltage-spread";
  static final String DEFINITION = "definition";
  static final String OF = "of";
  static final String LEAST_READINGS = "least-readings";
  static final String CAUTION = "caution";
  static final String LEAST_OF_NO_LOAD = "least-of-no-load";
  static final String CORRECTION = "correction";

  /**
   * Checks the settings and fills in defaults.
   *
   * @throws IllegalArgumentException naming every setting that cannot be
   */
  public Criterion {
    Map<String, String> all = new TreeMap<>(settings);
    StringBuilder problems = new StringBuilder();
    for (String name : settings.keySet()) {
      if (kind.settings.stream().noneMatch(s -> s.name().equals(name))) {
        problems.append("; there is no setting ").append(name);
      }
    }
    for (Setting setting : kind.settings) {
      String given = all.get(setting.name());
      if (given == null && setting.preset().isEmpty()) {
        problems.append("; ").append(setting.name()).append(" is missing");
      } else if (given == null) {
        all.put(setting.name(), setting.preset());
      } else {
        setting.problem(given).ifPresent(p -> problems.append("; ").append(p));
      }
    }
    if (uncertainty.filter(u -> u.signum() < 0).isPresent()) {
      problems.append("; the uncertainty ").append(uncertainty.get()).append(" is below zero");
    }
    if (!problems.isEmpty()) {
      throw new IllegalArgumentException(
          "criterion %s cannot be: %s".formatted(kind.word, problems.substring(2)));
    }
    settings = Collections.unmodifiableMap(all);
  }

  /** Returns the name in records and criteria files, for example {@code ratio-deviation}. */
  public String name() {
    return kind.word;
  }

  /** Returns a setting that is a number. */
  public BigDecimal number(String setting) {
    return new BigDecimal(word(setting));
  }

  /** Returns a setting that is a word. */
  public String word(String setting) {
    String value = settings.get(setting);
    if (value == null) {
      throw new IllegalArgumentException(
          "criterion %s has no setting %s".formatted(kind.word, setting));
    }
    return value;
  }

  /** Returns a setting that is yes or no. */
  public boolean flag(String setting) {
    return Boolean.parseBoolean(word(setting));
  }

  /**
   * A setting of a kind of criterion.
   *
   * @param preset what holds where a table does not give it; empty where it must
   * @param words the words it may be, if it is a word
   */
  public record Setting(String name, Sort sort, String preset, List<String> words) {

    /** What a setting can be. */
    public enum Sort {
      /** A decimal above zero. */
      POSITIVE,
      /** One of some words. */
      WORD,
      /** {@code true} or {@code false}. */
      FLAG
    }

    public Setting {
      words = List.copyOf(words);
    }

    private static Setting positive(String name) {
      return positive(name, "");
    }

    private static Setting positive(String name, String preset) {
      return new Setting(name, Sort.POSITIVE, preset, List.of());
    }

    private static Setting flag(String name) {
      return new Setting(name, Sort.FLAG, "false", List.of("true", "false"));
    }

    /** The first of the words is the default. */
    private static Setting word(String name, String... words) {
      return new Setting(name, Sort.WORD, words[0], List.of(words));
    }

    private Optional<String> problem(String given) {
      if (sort == Sort.POSITIVE) {
        try {
          return new BigDecimal(given).signum() > 0
              ? Optional.empty()
              : Optional.of("%s is %s, which is not above zero".formatted(name, given));
        } catch (NumberFormatException e) {
          return Optional.of("%s is \"%s\", which is no decimal".formatted(name, given));
        }
      }
      return words.contains(given)
          ? Optional.empty()
          : Optional.of("%s is \"%s\", not one of %s".formatted(name, given, words));
    }
  }

  /** What can be judged. The class that judges it says how. */
  @SuppressWarnings("ImmutableEnumChecker") // a record of a text, and lists made by List.of
  public enum Kind {
    RATIO_DEVIATION(
        Unit.PERCENT,
        Bound.WITHIN,
        Setting.positive(LIMIT),
        Setting.flag(TENTH_OF_IMPEDANCE),
        Setting.flag(NEAREST_TURN)),
    RATIO_SPREAD(Unit.PERCENT, Bound.WITHIN, Setting.positive(LIMIT)),
    RATIO_STEPS(Unit.PERCENT, Bound.WITHIN, Setting.positive(LIMIT)),
    RATIO_CHANGE(Unit.PERCENT, Bound.WITHIN, Setting.positive(LIMIT)),
    WINDING_GROUP(Unit.PERCENT, Bound.WITHIN, Setting.positive(LIMIT)),
    PHASE_DISPLACEMENT(Unit.DEGREE, Bound.WITHIN, Setting.positive(LIMIT)),
    EXCITATION_PATTERN(
        Unit.PERCENT,
        Bound.WITHIN,
        Setting.positive(THRESHOLD),
        Setting.positive(LIMIT_UP_TO),
        Setting.positive(LIMIT_ABOVE),
        Setting.positive(VOLTAGE_SPREAD, "1")),
    RESISTANCE_DEVIATION(Unit.PERCENT, Bound.WITHIN, Setting.positive(LIMIT)),
    RESISTANCE_UNBALANCE(
        Unit.PERCENT,
        Bound.WITHIN,
        Setting.positive(LIMIT),
        Setting.word(DEFINITION, "range-of-mean", "farthest-from-mean", "range-of-lowest"),
        Setting.word(OF, "as-read", "phases")),
    RESISTANCE_SETTLING(
        Unit.PERCENT, Bound.WITHIN, Setting.positive(LIMIT), Setting.positive(LEAST_READINGS, "5")),
    TEST_CURRENT(
        Unit.PERCENT,
        Bound.WITHIN,
        Setting.positive(LIMIT),
        Setting.positive(CAUTION),
        Setting.positive(LEAST_OF_NO_LOAD)),
    INSULATION_RESISTANCE(
        Unit.MEGOHM,
        Bound.AT_LEAST,
        Setting.positive(LIMIT),
        Setting.word(CORRECTION, "oil-filled", "halving", "machine")),
    POLARISATION_INDEX(Unit.ONE, Bound.AT_LEAST, Setting.positive(LIMIT)),
    ABSORPTION_RATIO(Unit.ONE, Bound.AT_LEAST, Setting.positive(LIMIT)),
    SHORT_CIRCUIT_IMPEDANCE(
        Unit.PERCENT,
        Bound.WITHIN,
        Setting.positive(THRESHOLD),
        Setting.positive(LIMIT_FROM),
        Setting.positive(LIMIT_BELOW));

    private final String word = name().toLowerCase(Locale.ROOT).replace('_', '-');
    private final Unit unit;
    private final Bound bound;
    private final List<Setting> settings;

    Kind(Unit unit, Bound bound, Setting... settings) {
      this.unit = unit;
      this.bound = bound;
      this.settings = List.of(settings);
    }

    /** Returns the word for it in records and criteria files. */
    public String word() {
      return word;
    }

    /** Returns the unit of its limit, its deviation and its uncertainty. */
    public Unit unit() {
      return unit;
    }

    /** Returns which side of the limit is good. */
    public Bound bound() {
      return bound;
    }

    /** Returns what a table sets for it. */
    public List<Setting> settings() {
      return settings;
    }

    /** Returns the kind with the given word, or nothing if there is none. */
    public static Optional<Kind> of(String word) {
      return Arrays.stream(values()).filter(kind -> kind.word.equals(word)).findFirst();
    }
  }
}
