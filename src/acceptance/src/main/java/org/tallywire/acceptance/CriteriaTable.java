package org.tallywire.acceptance;

import java.util.Collections;
import java.util.List;
import java.util.Map;
import java.util.Optional;
import java.util.SortedSet;
import java.util.TreeMap;
import java.util.TreeSet;
import org.tallywire.acceptance.Criterion.Kind;
import org.tallywire.acceptance.resistance.ConductorConstants;
import org.tallywire.acceptance.uncertainty.Accuracy;
import org.tallywire.acceptance.uncertainty.Decision;
import org.tallywire.api.Quantity;

/**
 * A named, versioned profile of criteria; a shop edits its own.
 *
 * @param name of the profile
 * @param version of it
 * @param digest SHA-256 of the files it was read from, lower-case hexadecimal
 * @param decision how a limit and an uncertainty make a state
 * @param conductors the constants of temperature correction
 * @param accuracies of the instruments, by quantity, for criteria without an uncertainty of their
 *     own; fixed parts and ranges in the unit in which the quantity is judged
 * @param repeatability of the readings, by quantity, where it was measured
 * @param criteria each kind at most once; each has its own uncertainty, or the accuracies to
 *     compute it from
 */
public record CriteriaTable(
    String name,
    String version,
    String digest,
    Decision decision,
    ConductorConstants conductors,
    Map<String, Accuracy> accuracies,
    Map<String, Repeatability> repeatability,
    List<Criterion> criteria) {

  public CriteriaTable {
    accuracies = Collections.unmodifiableMap(new TreeMap<>(accuracies));
    repeatability = Collections.unmodifiableMap(new TreeMap<>(repeatability));
    criteria = List.copyOf(criteria);
    if (criteria.stream().map(Criterion::kind).distinct().count() != criteria.size()) {
      throw new IllegalArgumentException(
          "criteria table %s %s has a criterion twice: %s; keep one of each"
              .formatted(name, version, criteria.stream().map(Criterion::name).sorted().toList()));
    }
    for (Criterion criterion : criteria) {
      List<String> missing = missing(criterion, accuracies);
      if (!missing.isEmpty()) {
        throw new IllegalArgumentException(
            "criteria table %s %s: criterion %s states no uncertainty, and the table no accuracy of %s to compute it from"
                .formatted(name, version, criterion.name(), String.join(" and ", missing)));
      }
    }
  }

  /** Makes a table without measured repeatability. */
  public CriteriaTable(
      String name,
      String version,
      String digest,
      Decision decision,
      ConductorConstants conductors,
      Map<String, Accuracy> accuracies,
      List<Criterion> criteria) {
    this(name, version, digest, decision, conductors, accuracies, Map.of(), criteria);
  }

  /** Returns the criterion of the given kind, if the profile has it. */
  public Optional<Criterion> criterion(Kind kind) {
    return criteria.stream().filter(c -> c.kind() == kind).findFirst();
  }

  /** Returns the words of the quantities that any kind of criterion judges. */
  public static SortedSet<String> quantities() {
    SortedSet<String> words = new TreeSet<>();
    for (Kind kind : Kind.values()) {
      InstrumentBudget.quantities(kind).forEach(quantity -> words.add(quantity.name()));
    }
    return Collections.unmodifiableSortedSet(words);
  }

  /**
   * Returns the quantities whose accuracy the uncertainty of a criterion would have to be computed
   * from and is not there; none for a criterion that states its uncertainty.
   */
  public static List<String> missing(Criterion criterion, Map<String, Accuracy> accuracies) {
    return criterion.uncertainty().isPresent()
        ? List.of()
        : InstrumentBudget.quantities(criterion.kind()).stream()
            .map(Quantity::name)
            .filter(quantity -> !accuracies.containsKey(quantity))
            .toList();
  }
}
