package org.tallywire.simulator.scenario;

import java.util.LinkedHashMap;
import java.util.Map;
import java.util.Optional;
import java.util.Set;
import org.tallywire.simulator.scenario.TesterPlan.Language;

/** The tester of a scenario as somebody wrote it; what is left out is as usual (practice). */
final class TesterEntry {

  static final Set<String> KEYS =
      Set.of(
          "speaks",
          "accuracy",
          "test voltage",
          "test current",
          "compliance voltage",
          "lead resistance",
          "warm-up",
          "rounds");
  static final Set<String> ACCURACY_KEYS = Set.of("ratio", "resistance", "other");
  static final Set<String> CURRENT_KEYS = Set.of("HV", "LV");

  /** The tester where a scenario says nothing of it. */
  static final TesterPlan USUAL =
      new TesterPlan(Language.LINE, 0.03, 0.1, 0.2, 40, 1, 10, 50, 0.02, 0, 1);

  static final Map<String, Language> LANGUAGES = languages();

  private static final Range ACCURACY = Range.of(Measure.PERCENTAGE, "0.001", "5", "0.1 %");
  private static final Range TEST_VOLTAGE = Range.of(Measure.VOLTAGE, "1", "250", "40 V");
  private static final Range TEST_CURRENT = Range.of(Measure.CURRENT, "0.005", "50", "10 A");
  private static final Range COMPLIANCE = Range.of(Measure.VOLTAGE, "1", "100", "50 V");
  private static final Range LEADS = Range.of(Measure.RESISTANCE, "0", "1", "20 mΩ");
  private static final Range WARM_UP = Range.of(Measure.TIME, "0", "7200", "15 min");
  private static final double SECONDS_PER_MINUTE = 60;
  private static final int MOST_ROUNDS = 1000;

  private TesterEntry() {}

  private static Map<String, Language> languages() {
    Map<String, Language> words = new LinkedHashMap<>();
    words.put("line protocol", Language.LINE);
    words.put("SCPI", Language.SCPI);
    words.put("talk-only", Language.TALK_ONLY);
    words.put("IEC 62056-21", Language.METER62056);
    words.put("IEC 62056-21 mode A", Language.METER62056_A);
    return words;
  }

  /** Returns the tester that a section describes. */
  static TesterPlan plan(Section section) {
    Section accuracy = section.sectionOrEmpty("accuracy", ACCURACY_KEYS);
    Section current = section.sectionOrEmpty("test current", CURRENT_KEYS);
    Optional<Language> language =
        section.written("speaks").flatMap(w -> w.oneOf(LANGUAGES, "language"));
    return new TesterPlan(
        language.orElse(USUAL.language()),
        accuracy.amount("ratio", ACCURACY, USUAL.ratioPercent()),
        accuracy.amount("resistance", ACCURACY, USUAL.resistancePercent()),
        accuracy.amount("other", ACCURACY, USUAL.otherPercent()),
        section.amount("test voltage", TEST_VOLTAGE, USUAL.testVolts()),
        current.amount("HV", TEST_CURRENT, USUAL.hvAmps()),
        current.amount("LV", TEST_CURRENT, USUAL.lvAmps()),
        section.amount("compliance voltage", COMPLIANCE, USUAL.complianceVolts()),
        section.amount("lead resistance", LEADS, USUAL.leadOhms()),
        section.amount("warm-up", WARM_UP, USUAL.warmUpMinutes() * SECONDS_PER_MINUTE)
            / SECONDS_PER_MINUTE,
        section.written("rounds").flatMap(w -> w.whole(1, MOST_ROUNDS)).orElse(USUAL.rounds()));
  }
}
