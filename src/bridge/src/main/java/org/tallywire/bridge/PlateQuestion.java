package org.tallywire.bridge;

import java.math.BigDecimal;
import java.math.RoundingMode;
import java.util.ArrayList;
import java.util.Arrays;
import java.util.List;
import java.util.Map;
import java.util.Optional;
import java.util.function.BiFunction;
import java.util.function.Function;
import java.util.function.Predicate;
import java.util.stream.Collectors;
import java.util.stream.IntStream;
import org.tallywire.acceptance.TapChanger;
import org.tallywire.acceptance.resistance.Celsius;
import org.tallywire.acceptance.winding.WindingGroup;
import org.tallywire.api.Decimals;

/**
 * One question after a nameplate.
 *
 * @param key of the answer; where it has no {@code #} also in the file
 * @param words the question, with unit and example
 * @param preset what is usual after the answers so far; empty for nothing
 * @param optional whether the plate may leave it out
 * @param check says what is wrong with an answer
 * @param asked whether it is asked at all
 */
record PlateQuestion(
    String key,
    String words,
    String example,
    Function<Map<String, String>, String> preset,
    boolean optional,
    BiFunction<Map<String, String>, String, Optional<String>> check,
    Predicate<Map<String, String>> asked) {

  private static final String CHANGERS = "#tap-changers";

  static List<PlateQuestion> all() {
    List<PlateQuestion> all = new ArrayList<>();
    all.add(
        needed(
            "asset",
            "The owner's number of the unit",
            "HL-0231",
            "",
            (said, text) ->
                text.matches("[ -~]{1,64}")
                    ? Optional.empty()
                    : Optional.of("1 to 64 plain characters, please.")));
    all.add(
        needed(
            "group",
            "The winding group, HV first; N or n where a neutral is brought out",
            "Dyn11",
            "",
            PlateQuestion::group));
    ratings(all);
    all.add(
        needed(
            CHANGERS,
            "How many tap changers it has: 0, 1, or 2, a de-energised and an on-load one",
            "1",
            "1",
            oneOf("0", "1", "2")));
    tapChanger(all, 1);
    tapChanger(all, 2);
    inside(all);
    return List.copyOf(all);
  }

  private static void ratings(List<PlateQuestion> all) {
    all.add(positive("rated-power", "Rated power of all phases, in kVA", "500", ""));
    all.add(
        positive(
            "hv-voltage",
            "Rated HV voltage on the principal tap, line to line, in V",
            "11000",
            ""));
    all.add(
        needed(
            "lv-voltage", "Rated LV voltage, line to line, in V", "433", "", PlateQuestion::lower));
    all.add(positive("frequency", "Frequency, in Hz", "50", "50"));
    all.add(stated("hv-current", "Rated HV line current, in A, if the plate states it", "26.2"));
    all.add(stated("lv-current", "Rated LV line current, in A, if the plate states it", "667"));
  }

  private static void tapChanger(List<PlateQuestion> all, int which) {
    String before = "#tap-" + which + "-";
    Predicate<Map<String, String>> there =
        said -> number(said.getOrDefault(CHANGERS, "0")).intValue() >= which;
    String ofWhich = "Tap changer " + which + ": ";
    all.add(
        needed(before + "side", ofWhich + "on which side, HV or LV", "HV", "HV", oneOf("HV", "LV"))
            .when(there));
    all.add(
        needed(
                before + "kind",
                ofWhich + "de-energised or on-load",
                "de-energised",
                which == 1 ? "de-energised" : "on-load",
                oneOf("de-energised", "on-load"))
            .when(there));
    all.add(
        needed(
                before + "positions",
                ofWhich + "how many positions",
                "5",
                which == 1 ? "5" : "17",
                (said, text) -> whole(text, 2, TapChanger.LAST_POSITION))
            .when(there));
    voltages(all, before, ofWhich, which, there);
  }

  private static void voltages(
      List<PlateQuestion> all,
      String before,
      String ofWhich,
      int which,
      Predicate<Map<String, String>> there) {
    all.add(
        needed(
                before + "principal",
                ofWhich + "the principal position, that of the rated voltage",
                "3",
                "",
                (said, text) -> whole(text, 1, positions(said, before)))
            .preset(said -> String.valueOf((positions(said, before) + 1) / 2))
            .when(there));
    all.add(
        needed(
                before + "voltages",
                ofWhich
                    + "the voltage of every position from 1 on, in V, with blanks between; in"
                    + " brackets equal steps of "
                    + (which == 1 ? "2.5" : "1.25")
                    + " %",
                "11550 11275 11000 10725 10450",
                "",
                (said, text) -> voltages(said, before, text))
            .preset(said -> equalSteps(said, before, which == 1 ? "2.5" : "1.25"))
            .when(there));
  }

  private static void inside(List<PlateQuestion> all) {
    all.add(
        needed(
            "hv-conductor",
            "What the HV winding is made of, copper or aluminium",
            "copper",
            "copper",
            oneOf("copper", "aluminium")));
    all.add(
        needed(
                "lv-conductor",
                "And the LV winding",
                "copper",
                "copper",
                oneOf("copper", "aluminium"))
            .preset(said -> said.getOrDefault("hv-conductor", "copper")));
    all.add(
        needed(
            "reference-temperature",
            "To which temperature resistances are corrected, in °C",
            "75",
            "75",
            (said, text) ->
                Decimals.parse(text).filter(Celsius::plausible).isPresent()
                    ? Optional.empty()
                    : Optional.of("A temperature of %s °C, please.".formatted(Celsius.RANGE))));
    figures(all);
  }

  private static void figures(List<PlateQuestion> all) {
    all.add(stated("impedance-percent", "Short-circuit impedance, in %, if stated", "4.5"));
    all.add(
        stated("no-load-current-percent", "No-load current, in % of the rated, if known", "0.8"));
    all.add(
        new PlateQuestion(
            "lv-turns",
            "Turns of one LV phase winding, if known, for example 26",
            "26",
            said -> "",
            true,
            (said, text) -> whole(text, 1, 100_000),
            said -> true));
    all.add(
        needed(
                "core",
                "The core: three-limb, four-limb, five-limb, shell, or single-phase for three"
                    + " single-phase cores",
                "three-limb",
                "three-limb",
                oneOf("three-limb", "four-limb", "five-limb", "shell", "single-phase"))
            .when(said -> !said.getOrDefault("group", "").startsWith("I")));
  }

  private static PlateQuestion needed(
      String key,
      String words,
      String example,
      String preset,
      BiFunction<Map<String, String>, String, Optional<String>> check) {
    return new PlateQuestion(
        key,
        words + ", for example " + example,
        example,
        said -> preset,
        false,
        check,
        said -> true);
  }

  private static PlateQuestion positive(String key, String words, String example, String preset) {
    return needed(key, words, example, preset, (said, text) -> positive(text));
  }

  private static PlateQuestion stated(String key, String words, String example) {
    return new PlateQuestion(
        key,
        words + ", for example " + example,
        example,
        said -> "",
        true,
        (said, text) -> positive(text),
        said -> true);
  }

  private PlateQuestion when(Predicate<Map<String, String>> condition) {
    return new PlateQuestion(key, words, example, preset, optional, check, condition);
  }

  private PlateQuestion preset(Function<Map<String, String>, String> other) {
    return new PlateQuestion(key, words, example, other, optional, check, asked);
  }

  private static Optional<String> positive(String text) {
    return Decimals.parse(text).filter(number -> number.signum() > 0).isPresent()
        ? Optional.empty()
        : Optional.of(
            "\"%s\" is no number above zero; write it like 11000 or 0.5, with nothing between the thousands and no unit."
                .formatted(text));
  }

  private static Optional<String> whole(String text, int from, int to) {
    return Decimals.parse(text)
            .filter(d -> d.scale() == 0)
            .filter(d -> d.compareTo(BigDecimal.valueOf(from)) >= 0)
            .filter(d -> d.compareTo(BigDecimal.valueOf(to)) <= 0)
            .isPresent()
        ? Optional.empty()
        : Optional.of("\"%s\" is no whole number from %d to %d.".formatted(text, from, to));
  }

  private static BiFunction<Map<String, String>, String, Optional<String>> oneOf(String... words) {
    return (said, text) ->
        List.of(words).contains(text)
            ? Optional.empty()
            : Optional.of("\"%s\" is none of %s.".formatted(text, String.join(", ", words)));
  }

  private static Optional<String> group(Map<String, String> said, String text) {
    try {
      WindingGroup.parse(text);
      return Optional.empty();
    } catch (IllegalArgumentException e) {
      return Optional.of(String.valueOf(e.getMessage()));
    }
  }

  private static Optional<String> lower(Map<String, String> said, String text) {
    Optional<String> problem = positive(text);
    if (problem.isPresent()) {
      return problem;
    }
    BigDecimal hv = number(said.getOrDefault("hv-voltage", text));
    return number(text).compareTo(hv) > 0
        ? Optional.of(
            "%s V is above the HV voltage of %s V; HV is the higher of the two."
                .formatted(text, hv.toPlainString()))
        : Optional.empty();
  }

  private static Optional<String> voltages(Map<String, String> said, String before, String text) {
    List<String> each = Arrays.asList(text.split("\\s+", -1));
    if (each.size() != positions(said, before)) {
      return Optional.of(
          "These are %d voltages, and there are %d positions."
              .formatted(each.size(), positions(said, before)));
    }
    for (String one : each) {
      Optional<String> problem = positive(one);
      if (problem.isPresent()) {
        return problem;
      }
    }
    int principal = number(said.getOrDefault(before + "principal", "1")).intValue();
    BigDecimal there = number(each.get(Math.min(principal, each.size()) - 1));
    return there.compareTo(rated(said, before)) != 0
        ? Optional.of(
            "Principal position %d has %s V, and the rated voltage of its side is %s V."
                .formatted(principal, there.toPlainString(), rated(said, before).toPlainString()))
        : Optional.empty();
  }

  private static String equalSteps(Map<String, String> said, String before, String percent) {
    BigDecimal rated = rated(said, before);
    int principal = number(said.getOrDefault(before + "principal", "1")).intValue();
    return IntStream.rangeClosed(1, positions(said, before))
        .mapToObj(
            position ->
                rated
                    .multiply(new BigDecimal(percent))
                    .multiply(BigDecimal.valueOf((long) principal - position))
                    .movePointLeft(2)
                    .setScale(position == principal ? 0 : 1, RoundingMode.HALF_EVEN)
                    .add(rated))
        .map(PlanSheet::bare)
        .collect(Collectors.joining(" "));
  }

  private static BigDecimal rated(Map<String, String> said, String before) {
    return number(
        said.getOrDefault(
            said.getOrDefault(before + "side", "HV").equals("HV") ? "hv-voltage" : "lv-voltage",
            "1"));
  }

  private static int positions(Map<String, String> said, String before) {
    return number(said.getOrDefault(before + "positions", "1")).intValue();
  }

  private static BigDecimal number(String text) {
    return Decimals.parse(text).orElse(BigDecimal.ONE);
  }

  /** Returns the nameplate file that the answers make. */
  static String file(List<PlateQuestion> questions, Map<String, String> answers) {
    StringBuilder yaml = new StringBuilder();
    for (PlateQuestion question : questions) {
      String answer = answers.getOrDefault(question.key(), "");
      if (question.key().equals(CHANGERS)) {
        changers(yaml, answers);
      } else if (!question.key().startsWith("#") && !answer.isEmpty()) {
        boolean text = question.key().equals("asset");
        yaml.append(question.key())
            .append(": ")
            .append(
                text ? "\"" + answer.replace("\\", "\\\\").replace("\"", "\\\"") + "\"" : answer)
            .append('\n');
      }
    }
    return yaml.toString();
  }

  private static void changers(StringBuilder yaml, Map<String, String> answers) {
    int many = number(answers.getOrDefault(CHANGERS, "0")).intValue();
    if (many > 0) {
      yaml.append("tap-changers:\n");
    }
    for (int which = 1; which <= many; which++) {
      String before = "#tap-" + which + "-";
      yaml.append("  - side: ").append(answers.get(before + "side")).append('\n');
      yaml.append("    kind: ").append(answers.get(before + "kind")).append('\n');
      yaml.append("    principal: ").append(answers.get(before + "principal")).append('\n');
      yaml.append("    taps:\n");
      int position = 1;
      for (String voltage : answers.getOrDefault(before + "voltages", "").split("\\s+", -1)) {
        yaml.append("      - {position: %d, voltage: %s}%n".formatted(position, voltage));
        position++;
      }
    }
  }
}
