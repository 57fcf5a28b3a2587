package org.tallywire.acceptance;

import java.util.List;
import java.util.Optional;

/**
 * A named, versioned profile of criteria; a shop edits its own.
 *
 * @param name of the profile
 * @param version of it
 * @param digest SHA-256 of the file it was read from, lower-case hexadecimal
 * @param criteria each kind at most once
 */
public record CriteriaTable(String name, String version, String digest, List<Criterion> criteria) {

  public CriteriaTable {
    criteria = List.copyOf(criteria);
    if (criteria.stream().map(Criterion::name).distinct().count() != criteria.size()) {
      throw new IllegalArgumentException(
          "criteria table %s %s has a criterion twice: %s; keep one of each"
              .formatted(name, version, criteria.stream().map(Criterion::name).sorted().toList()));
    }
  }

  /** Returns the criterion of the given kind, if the profile has it. */
  public <T extends Criterion> Optional<T> criterion(Class<T> kind) {
    return criteria.stream().filter(kind::isInstance).map(kind::cast).findFirst();
  }
}
