package org.tallywire.testset;

import java.time.Instant;
import java.util.Collection;
import java.util.Collections;
import java.util.LinkedHashMap;
import java.util.List;
import java.util.Map;
import java.util.Optional;
import java.util.OptionalInt;
import java.util.TreeMap;
import java.util.stream.Collectors;
import org.jspecify.annotations.Nullable;
import org.tallywire.acceptance.BookedReading;
import org.tallywire.acceptance.Evidence;
import org.tallywire.acceptance.Examiner;
import org.tallywire.acceptance.Step;
import org.tallywire.acceptance.Verdict;
import org.tallywire.api.Booking;
import org.tallywire.api.Reading;
import org.tallywire.api.RecordId;
import org.tallywire.api.RecordedReading;

/**
 * An open test set as the records up to now make it: which step each reading belongs to, and what
 * was found. Used by one thread.
 */
public final class TestSet {

  private final TestSetEvent.Opened opened;
  private final Examiner examiner;

  private final Map<Place, List<Step>> steps;
  private final Evidence evidence = new Evidence();

  /** The last verdict of every subject and criterion, as far as it still counts. */
  private final Map<String, Verdict> verdicts = new LinkedHashMap<>();

  /** Begins with the event that opened it. */
  public TestSet(TestSetEvent.Opened opened) {
    this.opened = opened;
    this.examiner = new Examiner(opened.testSet(), opened.nameplate(), opened.criteria());
    this.steps =
        opened.plan().steps().stream()
            .collect(
                Collectors.groupingBy(
                    step -> new Place(step.test(), step.windings(), step.phase())));
  }

  /** Returns how it was opened. */
  public TestSetEvent.Opened opened() {
    return opened;
  }

  /** Tells whether readings of a station are booked to it. */
  public boolean fedBy(String station) {
    return opened.stations().contains(station);
  }

  /** Returns the booking of a reading to the step that its labels name, if there is such a step. */
  public Optional<Booking> place(RecordedReading recorded, Instant now) {
    return stepNamedBy(recorded.reading().labels())
        .map(
            step ->
                new Booking(
                    RecordId.derived("booking", recorded.id(), opened.testSet(), step.id()),
                    recorded.id(),
                    opened.testSet(),
                    step.id(),
                    "labels",
                    now));
  }

  private Optional<Step> stepNamedBy(Map<String, String> labels) {
    Place place = new Place(labels.get("test"), labels.get("windings"), labels.get("phase"));
    for (Step step : steps.getOrDefault(place, List.of())) {
      if (isOn(step.tap(), labels.get("tap"))
          && isOn(step.onLoadTap(), labels.get("on-load-tap"))) {
        return Optional.of(step);
      }
    }
    return Optional.empty();
  }

  /** What the labels of a reading say beside its taps. */
  private record Place(@Nullable String test, @Nullable String windings, @Nullable String phase) {}

  private static boolean isOn(OptionalInt position, @Nullable String label) {
    return position.isEmpty() || Integer.toString(position.getAsInt()).equals(label);
  }

  /**
   * Takes a booking and returns the verdicts it makes possible. They take the place of all verdicts
   * on this step: one that is not made again was about an earlier reading.
   */
  public List<Verdict> booked(RecordedReading recorded, Booking booking) {
    Optional<Step> step = opened.plan().step(booking.step());
    if (step.isEmpty()) {
      return List.of();
    }
    BookedReading booked = new BookedReading(recorded, booking.id(), step.get());
    evidence.book(booked);
    List<Verdict> found = examiner.examine(booked, evidence);
    verdicts.values().removeIf(v -> v.subject().equals(booking.step()));
    found.forEach(v -> verdicts.put(v.subject() + " " + v.criterion(), v));
    return found;
  }

  /** Returns the last reading of every step that has one. */
  public Collection<BookedReading> current() {
    return evidence.last();
  }

  /**
   * Returns the last verdict of every subject and criterion; of a step those that its last booking
   * made.
   */
  public Collection<Verdict> verdicts() {
    return Collections.unmodifiableCollection(verdicts.values());
  }

  /** Tells whether every step of the plan has a reading that need not be taken again. */
  public boolean complete() {
    return opened.plan().steps().stream().map(Step::id).allMatch(this::settled);
  }

  private boolean settled(String step) {
    return evidence
            .last(step)
            .filter(booked -> booked.recorded().reading().status() == Reading.Status.OK)
            .isPresent()
        && verdicts.values().stream()
            .noneMatch(v -> v.subject().equals(step) && v.state() == Verdict.State.UNDECIDED);
  }

  /** Returns the event of the bridge closing it now. */
  public TestSetEvent.Closed close(Instant at) {
    return close(at, "", "");
  }

  /**
   * Returns the event of closing it now.
   *
   * @param by who closes it; empty if the bridge does
   * @param reason why, if something is left to do
   */
  public TestSetEvent.Closed close(Instant at, String by, String reason) {
    Map<String, Integer> result = new TreeMap<>();
    verdicts.values().forEach(v -> result.merge(v.state().word(), 1, Integer::sum));
    List<String> open =
        opened.plan().steps().stream()
            .map(Step::id)
            .filter(id -> evidence.last(id).isEmpty())
            .toList();
    return new TestSetEvent.Closed(
        opened.testSet(), at, opened.asset(), opened.station(), result, open, by, reason);
  }
}
