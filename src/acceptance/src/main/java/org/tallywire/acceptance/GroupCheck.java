package org.tallywire.acceptance;

import java.util.ArrayList;
import java.util.List;
import java.util.Map;
import java.util.Optional;
import java.util.concurrent.ConcurrentHashMap;
import org.tallywire.acceptance.GroupReadings.One;
import org.tallywire.acceptance.Question.Answer;
import org.tallywire.acceptance.Verdict.State;
import org.tallywire.acceptance.winding.ConnectionFinder;
import org.tallywire.acceptance.winding.Diagnosis;
import org.tallywire.acceptance.winding.Hypothesis;
import org.tallywire.acceptance.winding.Hypothesis.Kind;
import org.tallywire.acceptance.winding.Leads;
import org.tallywire.acceptance.winding.WindingGroup;
import org.tallywire.api.Unit;

/**
 * Holds the ratios of all phases of a tap, with the sense their phase displacement shows, against
 * the plate's group: the one that is farthest off is judged. Where they do not fit, it finds which
 * connection or mistake they do fit. A pair in opposition counts as a negative ratio. How near a
 * reading must come is common practice.
 */
final class GroupCheck implements Check {

  private static final int HALF_A_TURN = 6;
  private static final int HOURS = 12;

  private final Criterion criterion;
  private final Case judged;

  /** One for each setting of the taps: the first search of each takes most of the time. */
  private final Map<TapSetting, ConnectionFinder> finders = new ConcurrentHashMap<>();

  GroupCheck(Criterion criterion, Case judged) {
    this.criterion = criterion;
    this.judged = judged;
  }

  @Override
  public List<Answer> examine(BookedReading newest, Evidence evidence) {
    Step step = newest.step();
    if (!step.test().equals(Step.TURNS_RATIO) || step.expected().isEmpty()) {
      return List.of();
    }
    List<BookedReading> phases = evidence.phases(step);
    List<String> there = phases.stream().map(b -> b.step().phase()).toList();
    return there.equals(judged.nameplate().group().phases()) ? List.of(answer(phases)) : List.of();
  }

  private Answer answer(List<BookedReading> phases) {
    Question question = judged.across(criterion, phases, Unit.ONE);
    try {
      GroupReadings readings = GroupReadings.of(phases, judged.nameplate());
      One worst = readings.worst();
      State state = question.state(worst.deviation());
      return state.failed()
          ? failed(readings, worst, question)
          : question.decided(
              worst.measured(),
              Figures.computed(worst.expected()),
              worst.deviation(),
              readings.sensed() ? List.of() : List.of(half()),
              sentence("fit", worst, question) + ".");
    } catch (UndecidableException e) {
      return question.undecided(List.of(), "winding group", e);
    }
  }

  private String sentence(String verb, One worst, Question question) {
    return "the readings %s %s; the farthest off is phase %s%s with %s %% (limit ±%s %%): %s"
        .formatted(
            verb,
            judged.nameplate().group(),
            worst.phase(),
            worst.measured().signum() < 0 ? ", in opposition and so counted as negative," : "",
            Figures.signed(worst.deviation(), question),
            Figures.bare(question.limit()),
            Figures.words(question.state(worst.deviation()), question));
  }

  /** Without the sense half a turn of the clock cannot be seen. */
  private Finding half() {
    WindingGroup group = judged.nameplate().group();
    WindingGroup other =
        new WindingGroup(
            group.hv(),
            group.lv(),
            group.hvNeutral(),
            group.lvNeutral(),
            (group.hour() + HALF_A_TURN) % HOURS);
    return Finding.seen(
        Finding.ALL,
        ("Not every reading says whether the pair is in phase or in opposition, so that %s could"
                + " read alike.")
            .formatted(other));
  }

  private Answer failed(GroupReadings readings, One worst, Question question) {
    Diagnosis diagnosis =
        finders
            .computeIfAbsent(
                readings.setting(),
                setting ->
                    ConnectionFinder.of(readings.rated(question.limit(), judged.nameplate())))
            .find(readings.observations());
    List<Hypothesis> likely =
        diagnosis.fits().isEmpty()
            ? diagnosis.nearest().stream().filter(h -> h.kind() != Kind.AS_RATED).toList()
            : diagnosis.fits().subList(0, diagnosis.equal());
    List<Finding> findings = new ArrayList<>();
    likely.forEach(h -> findings.add(Finding.hint(Finding.ALL, h.sentence())));
    Answer answer =
        question.decided(
            worst.measured(),
            Figures.computed(worst.expected()),
            worst.deviation(),
            findings,
            sentence("do not fit", worst, question)
                + ". "
                + (diagnosis.fits().isEmpty() && likely.isEmpty()
                    ? unlike(readings, question)
                    : diagnosis.sentence()));
    return answer.then(next(diagnosis, likely));
  }

  /** Nothing is nearer than the plate: says which phases do read as it states. */
  private String unlike(GroupReadings readings, Question question) {
    String why =
        "No single mistake and no other group explains the readings within %s %%; "
            .formatted(Figures.bare(question.limit()));
    List<String> right = readings.within(question.limit(), true);
    return right.isEmpty()
        ? why + "no phase reads as the plate states."
        : why
            + "%s %s as the plate states, so look at %s."
                .formatted(
                    phases(right),
                    right.size() == 1 ? "reads" : "read",
                    phases(readings.within(question.limit(), false)));
  }

  private static String phases(List<String> letters) {
    return (letters.size() == 1 ? "phase " : "phases ") + String.join(" and ", letters);
  }

  private static String next(Diagnosis diagnosis, List<Hypothesis> likely) {
    Optional<Leads> deciding = diagnosis.deciding();
    if (deciding.isPresent()) {
      return "Switch the test voltage off, connect %s, and measure with its phase displacement: it tells these apart."
          .formatted(deciding.get().iec());
    }
    if (diagnosis.fits().isEmpty() || likely.isEmpty()) {
      return "Switch the test voltage off, check every lead against the plan and, with the unit"
          + " de-energised, the tap position, and take all phases again.";
    }
    return switch (likely.get(0).kind()) {
      case LEADS_SWAPPED, LEADS_MOVED_ON, LINE_FOR_PHASE ->
          "Switch the test voltage off, put the leads right, and take all phases again.";
      case NEUTRAL_MISSING ->
          "Switch the test voltage off, check the lead to the neutral and the neutral itself, and"
              + " take all phases again.";
      case OTHER_TAP, OTHER_TAP_ON_ONE_PHASE ->
          "Switch the test voltage off. With the unit de-energised, look at which position the tap"
              + " changer is on in every phase, and take all phases again.";
      case WINDING_REVERSED, SIDE_REVERSED ->
          "Switch the test voltage off and check the leads; if they are right, do not put the unit"
              + " into service before its connections have been looked at.";
      case OTHER_GROUP ->
          "Compare the group that was entered with the unit's nameplate; if that is right, do not"
              + " put the unit into service before its connections have been looked at.";
      case AS_RATED -> "Take all phases again.";
    };
  }
}
