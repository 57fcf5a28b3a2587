package org.tallywire.testset;

import java.time.Instant;
import java.util.List;
import java.util.Map;
import java.util.TreeMap;
import org.tallywire.acceptance.CriteriaTable;
import org.tallywire.acceptance.Nameplate;
import org.tallywire.acceptance.TestPlan;

/** Something that happened in the life of a test set: one campaign on one asset. */
public sealed interface TestSetEvent {

  /** Returns the identity of the test set, 1 to 64 of {@code A-Za-z0-9_-}. */
  String testSet();

  /** Returns when it happened. */
  Instant at();

  /** Returns the number of the asset that is tested. */
  String asset();

  /** Returns the station under which the event is published. */
  String station();

  /** Returns the identity of this event's record; a test set is opened once and closed once. */
  default String id() {
    return this instanceof Opened ? "test-set:" + testSet() + ":opened" : closedId(testSet());
  }

  /** Returns the identity of the record that closes a test set. */
  static String closedId(String testSet) {
    return "test-set:" + testSet + ":closed";
  }

  /**
   * It was opened: readings of its stations are booked to it from here on.
   *
   * @param stations that feed it, at least one
   * @param criteria the whole table, so that its verdicts can be derived from the records alone
   */
  record Opened(
      String testSet,
      Instant at,
      List<String> stations,
      Nameplate nameplate,
      TestPlan plan,
      CriteriaTable criteria)
      implements TestSetEvent {

    public Opened {
      stations = List.copyOf(stations);
    }

    @Override
    public String asset() {
      return nameplate.asset();
    }

    @Override
    public String station() {
      return stations.get(0);
    }
  }

  /**
   * It was closed: nothing is booked to it any more.
   *
   * @param result how many of its verdicts ended in each state, the last of each subject and
   *     criterion counted
   * @param open ids of the steps that have no reading
   */
  record Closed(
      String testSet,
      Instant at,
      String asset,
      String station,
      Map<String, Integer> result,
      List<String> open)
      implements TestSetEvent {

    public Closed {
      result = Map.copyOf(new TreeMap<>(result));
      open = List.copyOf(open);
    }
  }
}
