package org.tallywire.report;

import java.util.ArrayList;
import java.util.LinkedHashMap;
import java.util.List;
import java.util.Map;
import java.util.Optional;
import org.tallywire.api.Booking;
import org.tallywire.testset.TestSetEvent;

/** Why readings that were booked to a step count no more, as their records say. One thread. */
final class Supersession {

  private final Map<String, TestRecord.Taken> byStep = new LinkedHashMap<>();
  private final List<TestRecord.Superseded> superseded = new ArrayList<>();

  void booked(TestRecord.Taken taken) {
    Booking booking = taken.booking();
    if (again(booking)) {
      byStep.put(booking.step(), taken);
      return;
    }
    leave(
        booking.readingId(),
        booking.step().equals(Booking.NO_STEP)
            ? said("It was taken off its step", booking)
            : said("It was booked to %s".formatted(booking.step()), booking));
    if (booking.step().equals(Booking.NO_STEP)) {
      return;
    }
    TestRecord.Taken before = byStep.put(booking.step(), taken);
    if (before != null) {
      end(
          before,
          said("A later reading, %s, took its place".formatted(booking.readingId()), booking));
    }
  }

  /** A reading that is booked once more to the step that it has is not superseded by itself. */
  private boolean again(Booking booking) {
    return current(booking.step())
        .filter(one -> one.recorded().id().equals(booking.readingId()))
        .isPresent();
  }

  void elsewhere(Booking booking) {
    leave(
        booking.readingId(),
        said("It was booked to test set %s".formatted(booking.testSet()), booking));
  }

  void repeat(TestSetEvent.Repeat event) {
    TestRecord.Taken before = byStep.remove(event.repeated());
    if (before != null) {
      end(
          before,
          "%s had the step taken again: %s".formatted(event.by(), Missing.ended(event.reason())));
    }
  }

  /** Returns the reading that counts for a step. */
  Optional<TestRecord.Taken> current(String step) {
    return Optional.ofNullable(byStep.get(step));
  }

  List<TestRecord.Superseded> superseded() {
    return superseded;
  }

  private void leave(String reading, String why) {
    List<TestRecord.Taken> left =
        byStep.values().stream().filter(t -> t.recorded().id().equals(reading)).toList();
    left.forEach(
        one -> {
          byStep.remove(one.booking().step());
          end(one, why);
        });
  }

  private void end(TestRecord.Taken taken, String why) {
    superseded.add(new TestRecord.Superseded(taken, why));
  }

  private static String said(String what, Booking booking) {
    return "%s, by %s%s"
        .formatted(
            what,
            booking.by(),
            booking.reason().map(reason -> ": " + Missing.ended(reason)).orElse("."));
  }
}
