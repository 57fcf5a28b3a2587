package org.tallywire.format;

import java.time.Instant;
import java.util.List;
import org.tallywire.acceptance.CriteriaTable;
import org.tallywire.acceptance.Nameplate;
import org.tallywire.acceptance.PlanOptions;
import org.tallywire.acceptance.TestPlan;
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

  /** Returns the steps to take. */
  public TestPlan plan() {
    return TestPlan.of(nameplate, options);
  }

  /** Returns the event of opening it. */
  public TestSetEvent.Opened opened(Instant at) {
    return new TestSetEvent.Opened(id, at, stations, nameplate, plan(), criteria);
  }
}
