package org.tallywire.testset;

import java.math.BigDecimal;
import java.math.MathContext;
import java.time.Instant;
import java.time.ZoneOffset;
import java.util.ArrayList;
import java.util.Comparator;
import java.util.HashMap;
import java.util.LinkedHashMap;
import java.util.List;
import java.util.Map;
import java.util.Optional;
import java.util.TreeMap;
import org.jspecify.annotations.Nullable;
import org.tallywire.acceptance.Nameplate;
import org.tallywire.acceptance.Step;
import org.tallywire.acceptance.Verdict;
import org.tallywire.acceptance.resistance.Celsius;
import org.tallywire.acceptance.resistance.Conductor;
import org.tallywire.acceptance.resistance.ConductorConstants;
import org.tallywire.api.Booking;
import org.tallywire.api.Quantity;
import org.tallywire.api.Reading;
import org.tallywire.api.RecordedReading;
import org.tallywire.api.Unit;

/**
 * One asset across its test sets and earlier results: the value of each step over time. Records are
 * given in their order. A resistance is brought to the reference temperature of the latest
 * nameplate, with that test set's constants, so that all are comparable; one without a temperature
 * stays as it is and is compared with nothing. Used by one thread.
 */
public final class AssetHistory {

  private static final MathContext DIGITS = new MathContext(8);

  /** The quantity that is followed of a test's steps, and in which unit. */
  private static final Map<String, Followed> FOLLOWED =
      Map.of(
          Step.TURNS_RATIO,
          new Followed(Quantity.TURNS_RATIO, Unit.ONE),
          Step.WINDING_RESISTANCE,
          new Followed(Quantity.WINDING_RESISTANCE, Unit.OHM),
          Step.INSULATION_RESISTANCE,
          new Followed(Quantity.INSULATION_RESISTANCE, Unit.MEGOHM),
          Step.SHORT_CIRCUIT_IMPEDANCE,
          new Followed(new Quantity("short-circuit-impedance"), Unit.PERCENT));

  /** The criterion that compares a step's value with what is expected. */
  private static final Map<String, String> COMPARING =
      Map.of(
          Step.TURNS_RATIO, "ratio-deviation",
          Step.WINDING_RESISTANCE, "resistance-deviation",
          Step.INSULATION_RESISTANCE, "insulation-resistance",
          Step.SHORT_CIRCUIT_IMPEDANCE, "short-circuit-impedance");

  private record Followed(Quantity quantity, Unit unit) {}

  /**
   * A test set of the asset.
   *
   * @param closed when, and empty while it is open
   * @param result how many verdicts ended in each state; empty while it is open
   */
  public record Campaign(
      String testSet, Instant opened, Optional<Instant> closed, Map<String, Integer> result) {}

  /** What one test set found of one step. */
  private static final class Found {
    private @Nullable RecordedReading reading;
    private @Nullable String booking;
    private final Map<String, Verdict> verdicts = new LinkedHashMap<>();
  }

  private static final class Campaigned {
    private final TestSetEvent.Opened opened;
    private final Map<String, Found> steps = new LinkedHashMap<>();
    private TestSetEvent.@Nullable Closed closed;

    Campaigned(TestSetEvent.Opened opened) {
      this.opened = opened;
    }
  }

  private final String asset;
  private final Map<String, Campaigned> sets = new LinkedHashMap<>();
  private final Map<String, String> setOfReading = new HashMap<>();
  private final List<EarlierResult> earlier = new ArrayList<>();

  public AssetHistory(String asset) {
    this.asset = asset;
  }

  /** Returns the asset. */
  public String asset() {
    return asset;
  }

  /** Takes an event of whatever test set. */
  public void event(TestSetEvent event) {
    if (!event.asset().equals(asset)) {
      return;
    }
    if (event instanceof TestSetEvent.Opened opened) {
      sets.putIfAbsent(opened.testSet(), new Campaigned(opened));
      return;
    }
    Campaigned set = sets.get(event.testSet());
    if (set == null) {
      return;
    }
    if (event instanceof TestSetEvent.Closed closed) {
      set.closed = closed;
    } else if (event instanceof TestSetEvent.Repeat repeat) {
      set.steps.remove(repeat.repeated());
    }
  }

  /** Tells whether a booking says something about a reading of this asset, now or before. */
  public boolean concerns(Booking booking) {
    return sets.containsKey(booking.testSet()) || setOfReading.containsKey(booking.readingId());
  }

  /**
   * Takes a booking with its reading. The last booking of a reading wins, and the last reading
   * booked to a step; it takes the place of all verdicts on that step.
   */
  public void booked(Booking booking, RecordedReading reading) {
    Campaigned before = sets.get(setOfReading.getOrDefault(booking.readingId(), ""));
    setOfReading.remove(booking.readingId());
    if (before != null) {
      before.steps.values().stream()
          .filter(found -> found.reading != null && found.reading.id().equals(reading.id()))
          .forEach(
              found -> {
                found.reading = null;
                found.verdicts.clear();
              });
    }
    Campaigned set = sets.get(booking.testSet());
    if (set == null || booking.step().isEmpty()) {
      return;
    }
    setOfReading.put(booking.readingId(), booking.testSet());
    Found found = set.steps.computeIfAbsent(booking.step(), step -> new Found());
    found.reading = reading;
    found.booking = booking.id();
    found.verdicts.clear();
  }

  /** Takes a verdict; one that rests on an earlier booking of its step does not count any more. */
  public void verdict(Verdict verdict) {
    Campaigned set = sets.get(verdict.testSet());
    Found found = set == null ? null : set.steps.get(verdict.subject());
    if (found != null && verdict.bookings().contains(found.booking)) {
      found.verdicts.put(verdict.criterion(), verdict);
    }
  }

  /** Takes earlier results of this asset. */
  public void earlier(List<EarlierResult> results) {
    earlier.addAll(results);
  }

  /** Returns the test sets, in order of time. */
  public List<Campaign> campaigns() {
    return sets.values().stream()
        .map(
            set ->
                new Campaign(
                    set.opened.testSet(),
                    set.opened.at(),
                    Optional.ofNullable(set.closed).map(TestSetEvent.Closed::at),
                    set.closed == null ? Map.of() : new TreeMap<>(set.closed.result())))
        .sorted(Comparator.comparing(Campaign::opened))
        .toList();
  }

  /** Returns the nameplate of the latest test set. */
  public Optional<Nameplate> nameplate() {
    return latest().map(opened -> opened.nameplate());
  }

  private Optional<TestSetEvent.Opened> latest() {
    return sets.values().stream()
        .map(set -> set.opened)
        .max(Comparator.comparing(TestSetEvent.Opened::at));
  }

  /** Returns the values of each step that has some, in the order of the latest plan. */
  public List<StepHistory> series() {
    Map<String, List<StepHistory.Point>> points = new LinkedHashMap<>();
    latest().ifPresent(o -> o.plan().steps().forEach(s -> points.put(s.id(), new ArrayList<>())));
    for (EarlierResult result : earlier) {
      point(result)
          .ifPresent(p -> points.computeIfAbsent(result.step(), s -> new ArrayList<>()).add(p));
    }
    for (Campaigned set : sets.values()) {
      set.steps.forEach(
          (step, found) ->
              point(set, step, found)
                  .ifPresent(p -> points.computeIfAbsent(step, s -> new ArrayList<>()).add(p)));
    }
    List<StepHistory> series = new ArrayList<>();
    points.forEach(
        (step, list) -> {
          Followed followed = FOLLOWED.get(test(step));
          if (!list.isEmpty() && followed != null) {
            series.add(StepHistory.of(step, followed.quantity(), followed.unit(), list));
          }
        });
    return series;
  }

  private static String test(String step) {
    return step.substring(0, step.contains("/") ? step.indexOf('/') : step.length());
  }

  private Optional<StepHistory.Point> point(EarlierResult result) {
    Followed followed = FOLLOWED.get(test(result.step()));
    if (followed == null
        || !followed.quantity().equals(result.quantity())
        || !result.unit().converts(followed.unit())) {
      return Optional.empty();
    }
    Compared compared =
        compared(
            result.step(),
            result.unit().convert(result.value(), followed.unit()),
            result.temperature(),
            latest().map(o -> o.criteria().conductors()));
    return Optional.of(
        new StepHistory.Point(
            result.date().atStartOfDay(ZoneOffset.UTC).toInstant(),
            result.source(),
            true,
            compared.value(),
            compared.comparable(),
            Optional.empty(),
            "",
            "",
            Optional.empty(),
            Optional.empty(),
            compared.remark()));
  }

  private Optional<StepHistory.Point> point(Campaigned set, String step, Found found) {
    RecordedReading recorded = found.reading;
    Followed followed = FOLLOWED.get(test(step));
    if (recorded == null || followed == null) {
      return Optional.empty();
    }
    Reading reading = recorded.reading();
    Optional<Verdict> comparing =
        Optional.ofNullable(found.verdicts.get(COMPARING.getOrDefault(test(step), "")));
    Optional<BigDecimal> value =
        reading
            .measured(followed.quantity())
            .flatMap(measured -> measured.in(followed.unit()))
            .or(() -> computed(step, comparing));
    return value.map(
        number -> {
          Compared compared =
              compared(
                  step,
                  number,
                  reading.measured(Quantity.WINDING_TEMPERATURE).flatMap(t -> t.in(Unit.CELSIUS)),
                  Optional.of(set.opened.criteria().conductors()));
          return new StepHistory.Point(
              reading.receivedAt(),
              set.opened.testSet(),
              false,
              compared.value(),
              compared.comparable() && reading.status() == Reading.Status.OK,
              comparing.flatMap(Verdict::deviation),
              comparing.map(v -> v.deviationUnit().code()).orElse(""),
              worst(found),
              Optional.empty(),
              Optional.empty(),
              reading.status() == Reading.Status.OK
                  ? compared.remark()
                  : "the instrument calls it " + reading.status().word());
        });
  }

  /** An impedance is not read but computed, so the verdict has it. */
  private static Optional<BigDecimal> computed(String step, Optional<Verdict> comparing) {
    return test(step).equals(Step.SHORT_CIRCUIT_IMPEDANCE)
        ? comparing.flatMap(Verdict::measured)
        : Optional.empty();
  }

  private static String worst(Found found) {
    return found.verdicts.values().stream()
        .map(Verdict::state)
        .max(Comparator.comparing(AssetHistory::severity))
        .map(Verdict.State::word)
        .orElse("");
  }

  private static int severity(Verdict.State state) {
    return switch (state) {
      case PASS -> 0;
      case CONDITIONAL_PASS -> 1;
      case UNDECIDED -> 2;
      case CONDITIONAL_FAIL -> 3;
      case FAIL -> 4;
    };
  }

  private record Compared(BigDecimal value, boolean comparable, String remark) {}

  private Compared compared(
      String step,
      BigDecimal value,
      Optional<BigDecimal> temperature,
      Optional<ConductorConstants> constants) {
    if (!test(step).equals(Step.WINDING_RESISTANCE)) {
      return new Compared(value, true, "");
    }
    Optional<Nameplate> plate = nameplate();
    if (plate.isEmpty() || constants.isEmpty()) {
      return new Compared(value, false, "as read: no nameplate says how to correct it");
    }
    if (temperature.filter(Celsius::plausible).isEmpty() || value.signum() <= 0) {
      return new Compared(value, false, "as read: no temperature to correct it by");
    }
    Conductor conductor =
        step.split("/", -1)[1].equals("HV") ? plate.get().hvConductor() : plate.get().lvConductor();
    BigDecimal corrected =
        constants
            .get()
            .correction(conductor)
            .corrected(value, temperature.get(), plate.get().referenceTemperature());
    return new Compared(corrected.round(DIGITS), true, "");
  }
}
