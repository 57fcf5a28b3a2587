package org.tallywire.acceptance.winding;

import java.util.List;

/**
 * Finds the connection that readings fit, and names the likely mistake when the plate disagrees.
 * What each connection reads is exact ({@link Topology}); which mistakes are considered, and in
 * what order, is common practice. One mistake at a time is considered, or another group.
 *
 * <p>It keeps what each connection reads, so that a second search takes much less time. Safe for
 * use by several threads.
 */
public final class ConnectionFinder {

  private final RatedConnection plate;
  private final List<Suspect> suspects;

  private ConnectionFinder(RatedConnection plate) {
    this.plate = plate;
    this.suspects = Suspects.of(plate);
  }

  /** Returns a finder for readings of what a plate says. */
  public static ConnectionFinder of(RatedConnection plate) {
    return new ConnectionFinder(plate);
  }

  /**
   * Finds what fits.
   *
   * @param observations any number, in any order
   * @throws IllegalArgumentException if there are none
   */
  public static Diagnosis find(RatedConnection plate, List<Observation> observations) {
    return of(plate).find(observations);
  }

  /**
   * Finds what fits.
   *
   * @param observations any number, in any order
   * @throws IllegalArgumentException if there are none
   */
  public Diagnosis find(List<Observation> observations) {
    if (observations.isEmpty()) {
      throw new IllegalArgumentException("0 observations fit every connection: give at least 1");
    }
    return new Search(plate, suspects, List.copyOf(observations)).diagnosis();
  }
}
