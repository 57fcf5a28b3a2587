package org.tallywire.acceptance.winding;

import java.math.BigDecimal;
import java.util.Comparator;
import java.util.List;
import java.util.Optional;
import java.util.TreeSet;
import java.util.stream.Collectors;
import org.tallywire.acceptance.figure.Percent;
import org.tallywire.acceptance.winding.Expectation.Ratio;
import org.tallywire.acceptance.winding.Fit.Mark;
import org.tallywire.acceptance.winding.Hypothesis.Kind;

/** Some observations, with every suspect held against them. */
final class Search {

  /** Nothing that explains no more readings than the plate is nearer than the plate itself. */
  private static final Comparator<Fit> PLATE_FIRST =
      Comparator.comparing(f -> f.suspect().kind() != Kind.AS_RATED);

  private final RatedConnection plate;
  private final List<Observation> observations;
  private final List<Fit> fits;

  /**
   * Holds the suspects against the observations.
   *
   * @param suspects the plate first
   */
  Search(RatedConnection plate, List<Suspect> suspects, List<Observation> observations) {
    this.plate = plate;
    this.observations = observations;
    this.fits =
        suspects.stream().map(s -> Fit.of(s, suspects.get(0), observations, plate)).toList();
  }

  Diagnosis diagnosis() {
    List<Fit> fitting = bestTap(fits.stream().filter(Fit::fits).sorted(likeliestFirst()).toList());
    if (fitting.isEmpty()) {
      Hypothesis nearest = hypothesis(fits.stream().min(nearestFirst()).orElseThrow());
      return new Diagnosis(List.of(), 0, Optional.of(nearest), Optional.empty(), noneFits(nearest));
    }
    List<Fit> equal =
        fitting.stream().filter(f -> likeliness().compare(f, fitting.get(0)) == 0).toList();
    Optional<Leads> deciding = equal.size() > 1 ? deciding(equal) : Optional.empty();
    return new Diagnosis(
        fitting.stream().map(this::hypothesis).toList(),
        equal.size(),
        Optional.empty(),
        deciding,
        sentence(fitting, equal, deciding));
  }

  /**
   * Leaves one of those that take the tap changer to be elsewhere: where a step is smaller than the
   * tolerance several fit, and the one that comes nearest is meant.
   */
  private static List<Fit> bestTap(List<Fit> fitting) {
    Optional<Fit> best =
        fitting.stream().filter(Search::tap).min(Comparator.comparing(Fit::worstSize));
    return fitting.stream().filter(f -> !tap(f) || f.equals(best.orElse(f))).toList();
  }

  private static boolean tap(Fit fit) {
    Kind kind = fit.suspect().kind();
    return kind == Kind.OTHER_TAP || kind == Kind.OTHER_TAP_ON_ONE_PHASE;
  }

  private Comparator<Fit> likeliness() {
    return Comparator.comparing((Fit f) -> f.suspect().level(plate.group()))
        .thenComparing(f -> f.count(Mark.OPEN));
  }

  private Comparator<Fit> likeliestFirst() {
    return likeliness().thenComparing(Fit::worstSize);
  }

  private Comparator<Fit> nearestFirst() {
    return Comparator.comparing((Fit f) -> -f.count(Mark.FITS))
        .thenComparing(PLATE_FIRST)
        .thenComparing(Fit::incomparable)
        .thenComparing(Fit::worstSize)
        .thenComparing(likeliness());
  }

  private Hypothesis hypothesis(Fit fit) {
    return fit.hypothesis(plate.group(), toldApart(fit));
  }

  private List<Integer> toldApart(Fit fit) {
    Fit rated = fits.get(0);
    if (fit.suspect().kind() != Kind.AS_RATED) {
      return rated.contradictions();
    }
    TreeSet<Integer> at = new TreeSet<>();
    fits.stream()
        .filter(f -> f.suspect().level(plate.group()) == 1)
        .forEach(f -> at.addAll(f.contradictions()));
    return List.copyOf(at);
  }

  /** Returns the leads whose reading takes the most different values among equal suspects. */
  private Optional<Leads> deciding(List<Fit> equal) {
    Leads best = null;
    int most = 1;
    for (Leads leads : LeadPlan.readable(plate.group())) {
      List<Expectation> shown =
          equal.stream().flatMap(f -> f.suspect().shows(leads, plate.core()).stream()).toList();
      int different = different(shown);
      if (shown.size() == equal.size() && different > most) {
        best = leads;
        most = different;
      }
    }
    return Optional.ofNullable(best);
  }

  private int different(List<Expectation> shown) {
    int different = 0;
    for (int i = 0; i < shown.size(); i++) {
      Expectation one = shown.get(i);
      if (shown.subList(0, i).stream().noneMatch(other -> alike(one, other))) {
        different++;
      }
    }
    return different;
  }

  /** Tells whether one observation could fit both. */
  private boolean alike(Expectation one, Expectation other) {
    if (!(one instanceof Ratio r) || !(other instanceof Ratio s)) {
      return one.equals(other);
    }
    BigDecimal apart = Percent.off(r.ratio(), s.ratio()).abs();
    BigDecimal twice = plate.tolerance().add(plate.tolerance());
    return r.inPhase() == s.inPhase() && apart.compareTo(twice) <= 0;
  }

  private String sentence(List<Fit> fitting, List<Fit> equal, Optional<Leads> deciding) {
    Fit first = fitting.get(0);
    StringBuilder words = new StringBuilder(hypothesis(first).sentence());
    if (equal.size() > 1) {
      words.append(
          equal.stream()
              .skip(1)
              .map(f -> f.suspect().sentence(plate.group(), "They fit equally"))
              .collect(Collectors.joining(" ", " ", "")));
      words.append(
          deciding
              .map(l -> " A reading of %s, with its sense, would tell more.".formatted(l.iec()))
              .orElse(" No other reading tells these apart: follow the leads by eye."));
    }
    if (first.suspect().level(plate.group()) == 1) {
      fitting.stream()
          .filter(f -> f.suspect().level(plate.group()) == 2)
          .findFirst()
          .ifPresent(
              f ->
                  words.append(
                      " A unit of group %s reads so too: look at its plate again."
                          .formatted(f.suspect().group())));
    }
    return words.toString();
  }

  private String noneFits(Hypothesis nearest) {
    return "No single mistake and no other group explains all %d readings within %s %%. %s"
        .formatted(observations.size(), plate.tolerance().toPlainString(), nearest.sentence());
  }
}
