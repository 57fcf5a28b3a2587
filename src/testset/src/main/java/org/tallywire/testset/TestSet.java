package org.tallywire.testset;

import java.time.Instant;
import java.util.Collection;
import java.util.Collections;
import java.util.HashMap;
import java.util.LinkedHashMap;
import java.util.List;
import java.util.Map;
import java.util.Optional;
import java.util.OptionalInt;
import java.util.TreeMap;
import java.util.stream.Collectors;
import java.util.stream.Stream;
import org.jspecify.annotations.Nullable;
import org.tallywire.acceptance.BookedReading;
import org.tallywire.acceptance.Criterion;
import org.tallywire.acceptance.Evidence;
import org.tallywire.acceptance.Examiner;
import org.tallywire.acceptance.Step;
import org.tallywire.acceptance.Verdict;
import org.tallywire.api.Booking;
import org.tallywire.api.Reading;
import org.tallywire.api.RecordId;
import org.tallywire.api.RecordedReading;

/**
 * An open test set as the records up to now make it: which step each reading belongs to, what was
 * found, and whether the work may go on. Used by one thread.
 */
public final class TestSet {

  private final TestSetEvent.Opened opened;
  private final Examiner examiner;

  private final Map<Place, List<Step>> steps;
  private final Evidence evidence = new Evidence();

  /** The last verdict of every subject and criterion, as far as it still counts. */
  private final Map<String, Verdict> verdicts = new LinkedHashMap<>();

  private final Checks checks;
  private final Instruments instruments;
  private final Map<String, TestSetEvent.Skipped> skipped = new HashMap<>();
  private final Conditions conditions = new Conditions();
  private boolean paused;

  /** Id of a booking in the plan's order that is made and not taken yet. */
  private Optional<String> expected = Optional.empty();

  /** Begins with the event that opened it. */
  public TestSet(TestSetEvent.Opened opened) {
    this.opened = opened;
    this.checks = new Checks(opened.terms());
    this.instruments = new Instruments(opened.standings());
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

  /** Takes what happened to it while it is open. */
  public void take(TestSetEvent.During event) {
    if (event instanceof TestSetEvent.Paused) {
      paused = true;
    } else if (event instanceof TestSetEvent.Resumed) {
      paused = false;
    } else if (event instanceof TestSetEvent.Skipped one) {
      skipped.put(one.skipped(), one);
    } else if (event instanceof TestSetEvent.Repeat repeat) {
      skipped.remove(repeat.repeated());
      evidence.clear(repeat.repeated());
      forget(repeat.repeated());
    }
  }

  /** Takes answers to a checklist. */
  public void take(ChecklistAnswer answer) {
    checks.take(answer);
  }

  /** Takes what happened to an instrument; it counts for the verdicts from here on. */
  public void take(InstrumentEvent event) {
    instruments.take(event);
  }

  /** Hears how instruments stood when it was opened. */
  public void know(List<InstrumentStanding> standings) {
    instruments.know(standings);
  }

  /** Takes what a person wrote down; a temperature counts for what is booked from here on. */
  public void take(Note note) {
    conditions.take(note);
  }

  /** Tells whether it is paused. */
  public boolean paused() {
    return paused;
  }

  /** Returns why nothing is booked to it by itself just now; nothing if readings are booked. */
  public Optional<String> hindrance() {
    if (paused) {
      return Optional.of("The test set is paused.");
    }
    return checks.hindrance(Checklist.Moment.BEFORE);
  }

  /** Returns how the answers to its checklists stand. */
  public Checks checks() {
    return checks;
  }

  /**
   * Returns the first step of the plan that is neither taken nor left out; one whose reading is not
   * settled yet is not taken.
   */
  public Optional<Step> next() {
    return opened.plan().steps().stream()
        .filter(step -> !skipped.containsKey(step.id()) && !taken(step.id()))
        .findFirst();
  }

  /** Returns the steps that are left out, by id. */
  public Map<String, TestSetEvent.Skipped> skipped() {
    return Collections.unmodifiableMap(skipped);
  }

  /**
   * Returns the booking of a reading by itself: to the step that its labels name, or else, in the
   * plan's order, to the step that comes next if it has that step's quantity. Nothing while there
   * is a {@link #hindrance}; nothing in the plan's order either before the booking made last is
   * taken, since nobody was told yet which step comes then.
   */
  public Optional<Booking> place(RecordedReading recorded, Instant now) {
    if (hindrance().isPresent()) {
      return Optional.empty();
    }
    Optional<Step> named = stepNamedBy(recorded.reading().labels());
    if (named.isPresent()) {
      return named.map(step -> booking(recorded, step, "labels", now));
    }
    if (opened.terms().order() != Terms.Order.PLAN || expected.isPresent()) {
      return Optional.empty();
    }
    Optional<Booking> booking =
        next()
            .filter(step -> StepQuantity.isIn(recorded.reading(), step))
            .map(step -> booking(recorded, step, Terms.Order.PLAN.word(), now));
    booking.ifPresent(this::expect);
    return booking;
  }

  /** Hears of a booking that is made and will be taken. */
  public void expect(Booking booking) {
    if (booking.by().equals(Terms.Order.PLAN.word())) {
      expected = Optional.of(booking.id());
    }
  }

  private Booking booking(RecordedReading recorded, Step step, String by, Instant now) {
    return new Booking(
        RecordId.derived("booking", recorded.id(), opened.testSet(), step.id()),
        recorded.id(),
        opened.testSet(),
        step.id(),
        by,
        now);
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
   * on this step: one that is not made again was about an earlier reading. A step that a reading
   * leaves has no verdict any more.
   */
  public List<Verdict> booked(RecordedReading recorded, Booking booking) {
    expected = expected.filter(id -> !id.equals(booking.id()));
    if (booking.step().equals(Booking.NO_STEP)) {
      left(recorded.id());
      return List.of();
    }
    Optional<Step> step = opened.plan().step(booking.step());
    if (step.isEmpty()) {
      return List.of();
    }
    BookedReading booked =
        new BookedReading(conditions.completed(recorded, booking.step()), booking.id(), step.get());
    evidence.book(booked).ifPresent(this::forget);
    skipped.remove(booking.step());
    List<Verdict> found = examiner.examine(booked, evidence).stream().map(this::objecting).toList();
    forget(booking.step());
    found.forEach(v -> verdicts.put(v.subject() + " " + v.criterion(), v));
    return found;
  }

  /** Takes a reading off its step, if it has one here: it was booked elsewhere. */
  public void left(String reading) {
    evidence.unbook(reading).ifPresent(this::forget);
  }

  private Verdict objecting(Verdict verdict) {
    List<RecordedReading> readings =
        verdict.readings().stream()
            .flatMap(id -> evidence.find(id).stream())
            .map(BookedReading::recorded)
            .toList();
    return verdict
        .with(conditions.findings(verdict.readings()))
        .with(instruments.objections(readings));
  }

  private void forget(String step) {
    verdicts.values().removeIf(v -> v.subject().equals(step));
  }

  /** Returns the last reading of a step, if it has one. */
  public Optional<RecordedReading> reading(String step) {
    return evidence.last(step).map(BookedReading::recorded);
  }

  /** Returns the last verdict of a subject and criterion, if there is one that counts. */
  public Optional<Verdict> verdict(String subject, String criterion) {
    return Optional.ofNullable(verdicts.get(subject + " " + criterion));
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

  /**
   * Tells whether every step of the plan is left out or has a reading that need not be taken again.
   */
  public boolean complete() {
    return opened.plan().steps().stream()
        .map(Step::id)
        .allMatch(
            step ->
                skipped.containsKey(step) || (taken(step) && undecided(step).findAny().isEmpty()));
  }

  private boolean taken(String step) {
    return evidence
            .last(step)
            .filter(booked -> booked.recorded().reading().status() == Reading.Status.OK)
            .isPresent()
        && undecided(step)
            .noneMatch(v -> v.criterion().equals(Criterion.Kind.RESISTANCE_SETTLING.word()));
  }

  private Stream<Verdict> undecided(String step) {
    return verdicts.values().stream()
        .filter(v -> v.subject().equals(step) && v.state() == Verdict.State.UNDECIDED);
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
