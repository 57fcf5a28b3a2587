package org.tallywire.acceptance;

import java.util.Collections;
import java.util.List;
import java.util.Map;
import java.util.Optional;
import java.util.TreeMap;
import org.tallywire.acceptance.Criterion.Kind;
import org.tallywire.acceptance.resistance.ConductorConstants;
import org.tallywire.acceptance.uncertainty.Accuracy;
import org.tallywire.acceptance.uncertainty.Decision;

/**
 * A named, versioned profile of criteria; a shop edits its own.
 *
 * @param name of the profile
 * @param version of it
 * @param digest SHA-256 of the files it was read from, lower-case hexadecimal
 * @param decision how a limit and an uncertainty make a state
 * @param conductors the constants of temperature correction
 * @param accuracies of the instruments, by quantity, for criteria without an uncertainty of their
 *     own
 * @param criteria each kind at most once
 */
public record CriteriaTable(
    String name,
    String version,
    String digest,
    Decision decision,
    ConductorConstants conductors,
    Map<String, Accuracy> accuracies,
    List<Criterion> criteria) {

  public CriteriaTable {
    accuracies = Collections.unmodifiableMap(new TreeMap<>(accuracies));
    criteria = List.copyOf(criteria);
    if (criteria.stream().map(Criterion::kind).distinct().count() != criteria.size()) {
      throw new IllegalArgumentException(
          "criteria table %s %s has a criterion twice: %s; keep one of each"
              .formatted(name, version, criteria.stream().map(Criterion::name).sorted().toList()));
    }
  }

  /** Returns the criterion of the given kind, if the profile has it. */
  public Optional<Criterion> criterion(Kind kind) {
    return criteria.stream().filter(c -> c.kind() == kind).findFirst();
  }
}
