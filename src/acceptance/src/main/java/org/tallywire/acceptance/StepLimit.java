package org.tallywire.acceptance;

import java.math.BigDecimal;
import java.math.MathContext;
import java.util.ArrayList;
import java.util.Comparator;
import java.util.List;
import java.util.Optional;
import org.tallywire.acceptance.Criterion.Kind;
import org.tallywire.acceptance.RatioRule.Target;

/**
 * What a reading of a step will be held against, said before it is taken. It comes from the same
 * rules as the verdicts; those also allow for the uncertainty.
 *
 * @param criterion the name of the criterion
 * @param sentence the limit with its numbers
 * @param together whether it compares steps and is said once for all phases of a tap
 * @param rule where the limit comes from
 */
public record StepLimit(String criterion, String sentence, boolean together, Rule rule) {

  private static final MathContext SHOWN = new MathContext(6);

  /**
   * Returns what a table judges of a step, in the table's order.
   *
   * @param plan which tells what the step is compared with
   */
  public static List<StepLimit> of(CriteriaTable table, Nameplate plate, TestPlan plan, Step step) {
    List<StepLimit> limits = new ArrayList<>();
    table.criteria().stream()
        .sorted(Comparator.comparing(Criterion::kind))
        .forEach(
            criterion ->
                sentence(criterion, plate, plan, step)
                    .ifPresent(
                        said ->
                            limits.add(
                                new StepLimit(
                                    criterion.name(),
                                    said,
                                    together(criterion.kind()),
                                    criterion.rule()))));
    return List.copyOf(limits);
  }

  private static boolean together(Kind kind) {
    return switch (kind) {
      case RATIO_SPREAD, RATIO_STEPS, WINDING_GROUP, EXCITATION_PATTERN, RESISTANCE_UNBALANCE ->
          true;
      default -> false;
    };
  }

  /** Returns nothing for a criterion that does not judge the step. */
  private static Optional<String> sentence(
      Criterion criterion, Nameplate plate, TestPlan plan, Step step) {
    return switch (step.test()) {
      case Step.TURNS_RATIO -> ofRatio(criterion, plate, plan, step);
      case Step.WINDING_RESISTANCE -> ofResistance(criterion, plate, step);
      case Step.INSULATION_RESISTANCE -> ofInsulation(criterion);
      case Step.SHORT_CIRCUIT_IMPEDANCE -> ofImpedance(criterion, step);
      default -> Optional.empty();
    };
  }

  private static Optional<String> ofRatio(
      Criterion criterion, Nameplate plate, TestPlan plan, Step step) {
    boolean three = plate.group().phases().size() == Step.PHASES.size();
    return switch (criterion.kind()) {
      case RATIO_DEVIATION -> new RatioRule(criterion, plate).target(step).map(StepLimit::range);
      case RATIO_SPREAD ->
          when(three, "the phases within %s %% of each other".formatted(limit(criterion)));
      case RATIO_STEPS ->
          when(
              taps(plan, step) > 1,
              "the step from tap to tap within %s %% of the plate's".formatted(limit(criterion)));
      case RATIO_CHANGE ->
          when(
              plate.earlierRatios().containsKey(step.id()),
              "within ±%s %% of the earlier ratio".formatted(limit(criterion)));
      case WINDING_GROUP ->
          when(
              three,
              "the three ratios fit group %s to %s %%".formatted(plate.group(), limit(criterion)));
      case PHASE_DISPLACEMENT ->
          Optional.of("phase displacement within ±%s degrees".formatted(limit(criterion)));
      case EXCITATION_PATTERN -> when(three, excitation(criterion, plate));
      default -> Optional.empty();
    };
  }

  private static String range(Target target) {
    BigDecimal part = target.ratio().multiply(target.limit()).movePointLeft(2);
    return "%s, so %s to %s"
        .formatted(
            target.inWords(),
            shown(target.ratio().subtract(part)),
            shown(target.ratio().add(part)));
  }

  private static long taps(TestPlan plan, Step step) {
    return plan.steps().stream().filter(s -> s.onEveryTap().equals(step.onEveryTap())).count();
  }

  private static String excitation(Criterion criterion, Nameplate plate) {
    String alike =
        switch (plate.core()) {
          case SINGLE_PHASE -> "the three excitation currents";
          case THREE_LIMB -> "the two higher excitation currents";
          case FOUR_LIMB, FIVE_LIMB, SHELL -> "";
        };
    return alike.isEmpty()
        ? "excitation currents are not judged with a %s core".formatted(plate.core().word())
        : "%s within %s %% up to %s mA, within %s %% above"
            .formatted(
                alike,
                number(criterion, Criterion.LIMIT_UP_TO),
                number(criterion, Criterion.THRESHOLD),
                number(criterion, Criterion.LIMIT_ABOVE));
  }

  private static Optional<String> ofResistance(Criterion criterion, Nameplate plate, Step step) {
    return switch (criterion.kind()) {
      case RESISTANCE_DEVIATION ->
          step.expected()
              .map(
                  ohms ->
                      "%s at %s °C ±%s %%"
                          .formatted(
                              Figures.ohms(ohms),
                              Figures.bare(plate.referenceTemperature()),
                              limit(criterion)));
      case RESISTANCE_UNBALANCE ->
          when(
              plate.group().phases().size() == Step.PHASES.size(),
              "unbalance of the phases at most %s %% (%s, %s)"
                  .formatted(
                      limit(criterion),
                      criterion.word(Criterion.DEFINITION),
                      criterion.word(Criterion.OF)));
      case RESISTANCE_SETTLING ->
          Optional.of(
              "settled to %s %%, from %s readings on"
                  .formatted(limit(criterion), number(criterion, Criterion.LEAST_READINGS)));
      case TEST_CURRENT -> Optional.of(current(criterion, plate, step));
      default -> Optional.empty();
    };
  }

  /** Says between which currents, in A, the test current is to be. */
  private static String current(Criterion criterion, Nameplate plate, Step step) {
    BigDecimal rated = plate.computedCurrent(Side.valueOf(step.windings()));
    String least =
        plate
            .noLoadCurrentPercent()
            .map(
                percent ->
                    "above %s A (%s times the no-load current), "
                        .formatted(
                            shown(
                                rated
                                    .multiply(percent)
                                    .movePointLeft(2)
                                    .multiply(criterion.number(Criterion.LEAST_OF_NO_LOAD))),
                            number(criterion, Criterion.LEAST_OF_NO_LOAD)))
            .orElse("");
    return "test current %sat most %s A (%s %% of the rated %s A), better up to %s A"
        .formatted(
            least,
            shown(rated.multiply(criterion.number(Criterion.LIMIT)).movePointLeft(2)),
            limit(criterion),
            shown(rated),
            shown(rated.multiply(criterion.number(Criterion.CAUTION)).movePointLeft(2)));
  }

  private static Optional<String> ofInsulation(Criterion criterion) {
    return switch (criterion.kind()) {
      case INSULATION_RESISTANCE ->
          Optional.of(
              "at least %s MΩ, corrected by the rule %s"
                  .formatted(limit(criterion), criterion.word(Criterion.CORRECTION)));
      case POLARISATION_INDEX ->
          Optional.of("polarisation index at least %s".formatted(limit(criterion)));
      case ABSORPTION_RATIO ->
          Optional.of("absorption ratio at least %s".formatted(limit(criterion)));
      default -> Optional.empty();
    };
  }

  private static Optional<String> ofImpedance(Criterion criterion, Step step) {
    return criterion.kind() == Kind.SHORT_CIRCUIT_IMPEDANCE
        ? step.expected()
            .map(
                plate ->
                    "%s %% (limit ±%s %%)"
                        .formatted(
                            Figures.bare(plate),
                            Figures.bare(ImpedanceCheck.limit(criterion, plate))))
        : Optional.empty();
  }

  private static Optional<String> when(boolean judged, String sentence) {
    return judged ? Optional.of(sentence) : Optional.empty();
  }

  private static String limit(Criterion criterion) {
    return number(criterion, Criterion.LIMIT);
  }

  private static String number(Criterion criterion, String setting) {
    return Figures.bare(criterion.number(setting));
  }

  private static String shown(BigDecimal figure) {
    return Figures.shown(figure.round(SHOWN));
  }
}
