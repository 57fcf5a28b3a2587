package org.tallywire.journal;

import java.util.List;

/**
 * The durable outcome of one append.
 *
 * @param outcomes one for each draft, in the order of the drafts
 */
public record Appended(List<Outcome> outcomes) {

  public Appended {
    outcomes = List.copyOf(outcomes);
  }
}
