package org.tallywire.testset;

import java.time.Instant;
import java.util.List;
import java.util.Map;
import java.util.Optional;
import java.util.TreeMap;
import org.tallywire.acceptance.CriteriaTable;
import org.tallywire.acceptance.Nameplate;
import org.tallywire.acceptance.TestPlan;
import org.tallywire.api.RecordId;

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

  /** Returns the person who did it; empty if the bridge did it by itself. */
  String by();

  /** Returns the identity of this event's record; a test set is opened once and closed once. */
  String id();

  /** Returns the identity of the record that opens a test set. */
  static String openedId(String testSet) {
    return "test-set:" + testSet + ":opened";
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
   * @param by who opened it; empty if a configuration did
   * @param terms what else was agreed for it
   * @param standings of the instruments that were verified or calibrated before it was opened
   */
  record Opened(
      String testSet,
      Instant at,
      List<String> stations,
      Nameplate nameplate,
      TestPlan plan,
      CriteriaTable criteria,
      String by,
      Terms terms,
      List<InstrumentStanding> standings)
      implements TestSetEvent {

    public Opened {
      stations = List.copyOf(stations);
      standings = List.copyOf(standings);
    }

    /** Opened by a configuration, booked by labels, without checklists. */
    public Opened(
        String testSet,
        Instant at,
        List<String> stations,
        Nameplate nameplate,
        TestPlan plan,
        CriteriaTable criteria) {
      this(testSet, at, stations, nameplate, plan, criteria, "", Terms.USUAL, List.of());
    }

    /** Returns it with what is known of instruments at that time. */
    public Opened with(List<InstrumentStanding> known) {
      return new Opened(testSet, at, stations, nameplate, plan, criteria, by, terms, known);
    }

    @Override
    public String id() {
      return openedId(testSet);
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

  /** Something that happened while it was open, of which there may be several. */
  sealed interface During extends TestSetEvent permits Paused, Resumed, Skipped, Repeat {

    /** Returns the word for it in records. */
    String word();

    /** Returns why; may be empty for a resumption alone. */
    String reason();

    @Override
    default String id() {
      return RecordId.derived(
          "test-set", testSet(), word(), at().toString(), step().orElse(""), by());
    }

    /** Returns the id of the step it is about, if it is about one. */
    default Optional<String> step() {
      return Optional.empty();
    }
  }

  /** It was paused: until it is resumed nothing is booked to it by itself. */
  record Paused(String testSet, Instant at, String asset, String station, String by, String reason)
      implements During {
    @Override
    public String word() {
      return "paused";
    }
  }

  /** It was resumed. */
  record Resumed(String testSet, Instant at, String asset, String station, String by, String reason)
      implements During {
    @Override
    public String word() {
      return "resumed";
    }
  }

  /**
   * A step is left out; a reading that is booked to it later takes that back.
   *
   * @param skipped id of the step
   */
  record Skipped(
      String testSet,
      Instant at,
      String asset,
      String station,
      String skipped,
      String by,
      String reason)
      implements During {
    @Override
    public String word() {
      return "skipped";
    }

    @Override
    public Optional<String> step() {
      return Optional.of(skipped);
    }
  }

  /**
   * A step is to be taken again: its readings up to here count no more, and stay in the record.
   *
   * @param repeated id of the step
   */
  record Repeat(
      String testSet,
      Instant at,
      String asset,
      String station,
      String repeated,
      String by,
      String reason)
      implements During {
    @Override
    public String word() {
      return "repeat";
    }

    @Override
    public Optional<String> step() {
      return Optional.of(repeated);
    }
  }

  /**
   * It was closed: nothing is booked to it any more.
   *
   * @param result how many of its verdicts ended in each state, the last of each subject and
   *     criterion counted
   * @param open ids of the steps that have no reading
   * @param by who closed it; empty if the bridge did
   * @param reason why, if it was closed with something left to do
   */
  record Closed(
      String testSet,
      Instant at,
      String asset,
      String station,
      Map<String, Integer> result,
      List<String> open,
      String by,
      String reason)
      implements TestSetEvent {

    public Closed {
      result = Map.copyOf(new TreeMap<>(result));
      open = List.copyOf(open);
    }

    @Override
    public String id() {
      return closedId(testSet);
    }
  }
}
