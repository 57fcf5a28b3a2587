package org.tallywire.format;

import java.util.HashMap;
import java.util.LinkedHashMap;
import java.util.Map;
import java.util.Optional;
import java.util.TreeMap;
import java.util.stream.Stream;
import org.jspecify.annotations.Nullable;
import org.tallywire.acceptance.Verdict;
import org.tallywire.api.Booking;
import org.tallywire.testset.TestSetEvent;

/**
 * What bookings and verdicts say of each reading, from a stream of records in their order. Keeps
 * the figures of every verdict, so its memory grows with their number, not with that of the
 * readings. Used by one thread.
 */
public final class JudgedReadings {

  /** A reading's last booking, and whether the reading counts as that of its step. */
  record Place(Booking booking, boolean counts) {}

  /** What a verdict on a step says of its reading. */
  record Facts(
      String criterion,
      String judged,
      String expected,
      String unit,
      String deviation,
      String deviationUnit,
      String limit,
      String state,
      String sentence) {

    static Facts of(Verdict verdict) {
      return new Facts(
          verdict.criterion(),
          plain(verdict.measured()),
          plain(verdict.expected()),
          verdict.unit().code(),
          plain(verdict.deviation()),
          verdict.deviationUnit().code(),
          verdict.limit().toPlainString(),
          verdict.state().word(),
          verdict.sentence());
    }

    private static String plain(Optional<java.math.BigDecimal> number) {
      return number.map(java.math.BigDecimal::toPlainString).orElse("");
    }
  }

  private record Step(String testSet, String step) {}

  private record Made(Step step, long order) {}

  private final @Nullable String testSet;
  private final Map<String, Booking> bookingOfReading = new HashMap<>();
  private final Map<String, Made> bookings = new HashMap<>();
  private final Map<Step, String> readingOfStep = new HashMap<>();
  private final Map<String, Map<String, Facts>> facts = new HashMap<>();
  private final Map<String, Map<String, String>> comparisons = new HashMap<>();
  private final Map<String, String> assets = new HashMap<>();
  private final Map<String, Boolean> everBooked = new HashMap<>();
  private long order;

  /**
   * @param testSet the one test set of which figures are wanted; empty: all
   */
  public JudgedReadings(Optional<String> testSet) {
    this.testSet = testSet.orElse(null);
  }

  /**
   * Takes a record; of no interest are those of other kinds than booking, verdict and test set.
   *
   * @throws FormatException if it is one of these and cannot be read
   */
  public void take(AnyRecord record) throws FormatException {
    switch (record.kind()) {
      case RecordFormat.BOOKING -> booking(record.booking());
      case RecordFormat.VERDICT -> {
        if (wanted(record.testSet())) {
          verdict(record.verdict());
        }
      }
      case RecordFormat.TEST_SET -> {
        String asset = record.asset();
        if (!asset.isEmpty()) {
          assets.put(record.testSet(), asset);
        }
        if (record.testSetEvent() instanceof TestSetEvent.Repeat repeat) {
          readingOfStep.remove(new Step(repeat.testSet(), repeat.repeated()));
        }
      }
      default -> {
        // says nothing of a reading's place
      }
    }
  }

  private boolean wanted(String set) {
    return testSet == null || testSet.equals(set);
  }

  private void booking(Booking booking) {
    Step step = new Step(booking.testSet(), booking.step());
    if (testSet != null && wanted(booking.testSet())) {
      everBooked.put(booking.readingId(), true);
    }
    Booking before = bookingOfReading.put(booking.readingId(), booking);
    if (before != null) {
      readingOfStep.remove(new Step(before.testSet(), before.step()), booking.readingId());
    }
    bookings.put(booking.id(), new Made(step, order++));
    if (!booking.step().isEmpty()) {
      readingOfStep.put(step, booking.readingId());
    }
  }

  /** A verdict on a step is about the reading of its last booking there; others are comparisons. */
  private void verdict(Verdict verdict) {
    assets.putIfAbsent(verdict.testSet(), verdict.asset());
    Step subject = new Step(verdict.testSet(), verdict.subject());
    String last = null;
    long lastOrder = -1;
    for (String id : verdict.bookings()) {
      Made made = bookings.get(id);
      if (made != null && made.step().equals(subject) && made.order() > lastOrder) {
        last = id;
        lastOrder = made.order();
      }
    }
    if (last != null) {
      facts
          .computeIfAbsent(last, id -> new LinkedHashMap<>())
          .put(verdict.criterion(), Facts.of(verdict));
      return;
    }
    for (String id : verdict.bookings()) {
      comparisons
          .computeIfAbsent(id, one -> new TreeMap<>())
          .put(verdict.criterion() + " " + verdict.subject(), verdict.state().word());
    }
  }

  /** Tells whether a reading was ever booked to the one test set that is wanted. */
  public boolean everBooked(String readingId) {
    return everBooked.containsKey(readingId);
  }

  /** Returns where a reading belongs, if it is booked to a step. */
  Optional<Place> place(String readingId) {
    return Optional.ofNullable(bookingOfReading.get(readingId))
        .filter(booking -> !booking.step().isEmpty())
        .map(
            booking ->
                new Place(
                    booking,
                    readingId.equals(
                        readingOfStep.get(new Step(booking.testSet(), booking.step())))));
  }

  /** Returns the test set that a reading belongs to at last, or nothing. */
  public String testSet(String readingId) {
    return place(readingId).map(place -> place.booking().testSet()).orElse("");
  }

  String asset(String ofTestSet) {
    return assets.getOrDefault(ofTestSet, "");
  }

  /** Returns the last verdict of each criterion on the step, about a booking's reading. */
  Map<String, Facts> facts(Booking booking) {
    return facts.getOrDefault(booking.id(), Map.of());
  }

  /** Returns comparisons that a booking's reading went into: {@code criterion subject: state}. */
  Stream<String> comparisons(Booking booking) {
    return comparisons.getOrDefault(booking.id(), Map.of()).entrySet().stream()
        .map(one -> one.getKey() + ": " + one.getValue());
  }
}
