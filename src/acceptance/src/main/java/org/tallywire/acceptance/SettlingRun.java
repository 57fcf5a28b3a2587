package org.tallywire.acceptance;

import java.math.BigDecimal;
import java.time.Instant;
import java.util.ArrayList;
import java.util.Collections;
import java.util.List;
import java.util.Optional;
import org.tallywire.acceptance.resistance.SettlingRule;
import org.tallywire.acceptance.resistance.TimedOhms;
import org.tallywire.api.ClockQuality;
import org.tallywire.api.Quantity;
import org.tallywire.api.Reading;
import org.tallywire.api.Reading.Status;
import org.tallywire.api.Unit;
import org.tallywire.api.Value;

/**
 * The readings of one resistance measurement while it settles, up to one of them: of the same step,
 * station and instrument, without a break between any two (see {@link #goesOn}). Those that the
 * instrument calls not settled belong to it.
 *
 * @param readings the earliest first; the last is the one it leads to
 * @param stream the same with the seconds since the first
 */
record SettlingRun(List<BookedReading> readings, List<TimedOhms> stream) {

  /** Two readings farther apart than this are of two measurements (practice). */
  private static final BigDecimal LONGEST_GAP = BigDecimal.valueOf(120);

  /** Share in % by which a test current may change between two readings (practice). */
  private static final BigDecimal CURRENT_CHANGE = BigDecimal.TEN;

  /** Share in % by which a resistance may change between two readings (practice). */
  private static final BigDecimal JUMP = BigDecimal.valueOf(20);

  private static final BigDecimal HUNDRED = BigDecimal.valueOf(100);
  private static final BigDecimal CONFIDENCE = new BigDecimal("0.95");
  private static final int MOST_DIGITS = 64;
  private static final int LONGEST_UPTIME = 18;
  private static final int FEWEST = 5;

  SettlingRun {
    readings = List.copyOf(readings);
    stream = List.copyOf(stream);
  }

  /** Returns the run that leads to a reading; empty if that has no resistance. */
  static SettlingRun upTo(BookedReading last, Evidence evidence) {
    List<BookedReading> readings = new ArrayList<>();
    List<BookedReading> earlier =
        evidence.run(last.step().id()).stream()
            .filter(b -> BookedReading.BY_ARRIVAL.compare(b, last) < 0)
            .filter(b -> sameSource(b, last))
            .sorted(BookedReading.BY_ARRIVAL.reversed())
            .toList();
    if (readable(last)) {
      readings.add(last);
    }
    for (BookedReading before : earlier) {
      if (readings.isEmpty() || !goesOn(before, readings.get(readings.size() - 1))) {
        break;
      }
      readings.add(before);
    }
    Collections.reverse(readings);
    return new SettlingRun(readings, timed(readings));
  }

  /** Returns the rule of a criterion, or nothing if its settings make none. */
  static Optional<SettlingRule> rule(Criterion criterion) {
    BigDecimal least = criterion.number(Criterion.LEAST_READINGS);
    boolean possible =
        least.stripTrailingZeros().scale() <= 0
            && least.compareTo(BigDecimal.valueOf(FEWEST)) >= 0
            && least.compareTo(BigDecimal.valueOf(Evidence.KEPT)) <= 0;
    return possible
        ? Optional.of(
            new SettlingRule(criterion.number(Criterion.LIMIT), least.intValue(), CONFIDENCE))
        : Optional.empty();
  }

  /** Returns the resistance of a reading in ohm, whether it is settled or not. */
  static Optional<BigDecimal> ohms(BookedReading booked) {
    return positive(booked, Quantity.WINDING_RESISTANCE, Unit.OHM);
  }

  private static boolean sameSource(BookedReading one, BookedReading other) {
    return one.recorded().station().equals(other.recorded().station())
        && one.reading().instrument().equals(other.reading().instrument());
  }

  private static boolean readable(BookedReading booked) {
    Status status = booked.reading().status();
    return (status == Status.OK || status == Status.NOT_SETTLED) && ohms(booked).isPresent();
  }

  /**
   * Tells whether a reading belongs to the same measurement as the next one. It does not where the
   * tap or the test current changed, the resistance jumped, more than two minutes passed, the
   * instrument had called it settled and the next one not, or it cannot be read.
   */
  private static boolean goesOn(BookedReading before, BookedReading next) {
    return readable(before)
        && !(before.reading().status() == Status.OK
            && next.reading().status() == Status.NOT_SETTLED)
        && sameLabel("tap", before, next)
        && sameLabel("on-load-tap", before, next)
        && secondsBetween(before, next).compareTo(LONGEST_GAP) <= 0
        && near(ohms(before), ohms(next), JUMP)
        && near(current(before), current(next), CURRENT_CHANGE);
  }

  private static boolean sameLabel(String label, BookedReading before, BookedReading next) {
    return before
        .reading()
        .labels()
        .getOrDefault(label, "")
        .equals(next.reading().labels().getOrDefault(label, ""));
  }

  private static boolean near(
      Optional<BigDecimal> before, Optional<BigDecimal> next, BigDecimal percent) {
    if (before.isEmpty() || next.isEmpty()) {
      return true;
    }
    BigDecimal change = next.get().subtract(before.get()).abs().multiply(HUNDRED);
    return change.compareTo(before.get().multiply(percent)) <= 0;
  }

  private static Optional<BigDecimal> current(BookedReading booked) {
    return positive(booked, Quantity.TEST_CURRENT, Unit.AMPERE);
  }

  private static Optional<BigDecimal> positive(BookedReading booked, Quantity quantity, Unit unit) {
    return booked
        .reading()
        .measured(quantity)
        .filter(m -> m.number().precision() <= MOST_DIGITS)
        .filter(m -> Math.abs((long) m.number().scale()) <= MOST_DIGITS)
        .flatMap((Value.Measured m) -> m.in(unit))
        .filter(number -> number.signum() > 0);
  }

  private static List<TimedOhms> timed(List<BookedReading> readings) {
    List<TimedOhms> stream = new ArrayList<>();
    BigDecimal seconds = BigDecimal.ZERO;
    for (int i = 0; i < readings.size(); i++) {
      if (i > 0) {
        seconds = seconds.add(secondsBetween(readings.get(i - 1), readings.get(i)));
      }
      stream.add(new TimedOhms(seconds, ohms(readings.get(i)).orElseThrow()));
    }
    return stream;
  }

  /** By the instrument's clock where both have it and it did not go back, else by arrival. */
  private static BigDecimal secondsBetween(BookedReading before, BookedReading next) {
    Reading one = before.reading();
    Reading other = next.reading();
    Optional<Long> from = one.clock() == other.clock() ? taken(one) : Optional.empty();
    Optional<Long> to = taken(other);
    long millis =
        from.isPresent() && to.isPresent() && to.get() >= from.get()
            ? to.get() - from.get()
            : millis(other.receivedAt()) - millis(one.receivedAt());
    return BigDecimal.valueOf(millis, 3);
  }

  /** Returns the instrument's own time in milliseconds, from any begin. */
  private static Optional<Long> taken(Reading reading) {
    if (reading.clock() != ClockQuality.RELATIVE) {
      return reading.takenAt().map(SettlingRun::millis);
    }
    String uptime = reading.labels().getOrDefault("uptime", "");
    boolean whole =
        !uptime.isEmpty()
            && uptime.length() <= LONGEST_UPTIME
            && uptime.chars().allMatch(c -> c >= '0' && c <= '9');
    return whole ? Optional.of(Long.valueOf(uptime)) : Optional.empty();
  }

  private static long millis(Instant instant) {
    return instant.toEpochMilli();
  }
}
