package org.tallywire.format;

import java.time.Instant;
import java.util.List;
import org.tallywire.acceptance.CriteriaTable;
import org.tallywire.acceptance.Nameplate;
import org.tallywire.acceptance.PlanOptions;
import org.tallywire.acceptance.TestPlan;
import org.tallywire.testset.Terms;
import org.tallywire.testset.TestSetEvent;

/**
 * What is to be judged by what: one campaign on one transformer, as people write it.
 *
 * @param id of the test set, 1 to 64 of {@code A-Za-z0-9_-}
 * @param options what its plan is to hold
 * @param stations that feed it, at least one
 */
public record Job(
    String id,
    Nameplate nameplate,
    PlanOptions options,
    List<String> stations,
    CriteriaTable criteria) {

  public Job {
    stations = List.copyOf(stations);
  }

  /** Returns the same with another table of criteria. */
  public Job by(CriteriaTable table) {
    return new Job(id, nameplate, options, stations, table);
  }

  /** Returns the same as a test set of another id. */
  public Job named(String other) {
    return new Job(other, nameplate, options, stations, criteria);
  }

  /** Returns the steps to take. */
  public TestPlan plan() {
    return TestPlan.of(nameplate, options);
  }

  /** Returns the event of opening it. */
  public TestSetEvent.Opened opened(Instant at) {
    return new TestSetEvent.Opened(id, at, stations, nameplate, plan(), criteria);
  }

  /** Returns the event of a person opening it; the bridge adds how the instruments stand. */
  public TestSetEvent.Opened opened(Instant at, String by, Terms terms) {
    return new TestSetEvent.Opened(
        id, at, stations, nameplate, plan(), criteria, by, terms, List.of());
  }
}
