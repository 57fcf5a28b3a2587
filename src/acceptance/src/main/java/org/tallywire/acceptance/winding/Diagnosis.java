package org.tallywire.acceptance.winding;

import java.util.List;
import java.util.Optional;

/**
 * Which connections some readings fit.
 *
 * @param fits hypotheses that contradict no observation, the likeliest first: the plate, single
 *     mistakes, other groups; those that more observations confirm before others
 * @param equal how many of these, from the first, are equally likely
 * @param nearest if none fits, the hypothesis that explains most observations; of several, the
 *     plate, else the one with the smallest worst deviation
 * @param deciding if several are equally likely, leads whose reading tells most of them apart;
 *     empty if no reading can
 * @param sentence says all this
 */
public record Diagnosis(
    List<Hypothesis> fits,
    int equal,
    Optional<Hypothesis> nearest,
    Optional<Leads> deciding,
    String sentence) {

  public Diagnosis {
    fits = List.copyOf(fits);
  }
}
