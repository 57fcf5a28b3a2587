package org.tallywire.testset;

import java.time.Instant;
import java.time.LocalDate;
import java.time.ZoneOffset;
import java.util.ArrayList;
import java.util.List;
import java.util.Optional;
import org.tallywire.acceptance.Verdict;
import org.tallywire.api.Instrument;
import org.tallywire.api.Quantity;

/**
 * How right an instrument is, as far as records up to now say.
 *
 * @param instrument with a serial number
 * @param due the last day on which its calibration counts, if a calibration is known
 * @param certificate of that calibration; empty if none is known
 * @param verified when it was last held against a standard, if it was
 * @param state what came of that
 * @param failures what it failed at and has not passed since; a pass with another standard does not
 *     lift a failure, nor does one that decides nothing; a calibration on a later day does
 */
public record InstrumentStanding(
    Instrument instrument,
    Optional<LocalDate> due,
    String certificate,
    Optional<Instant> verified,
    Optional<Verdict.State> state,
    List<Failure> failures) {

  /**
   * A verification that failed.
   *
   * @param standard name of the standard
   * @param serial of the standard
   */
  public record Failure(Quantity quantity, String standard, String serial, Instant at) {

    private boolean repeatedBy(InstrumentEvent.Verified later) {
      return quantity.equals(later.quantity())
          && standard.equals(later.standard())
          && serial.equals(later.standardSerial());
    }
  }

  public InstrumentStanding {
    failures = List.copyOf(failures);
  }

  /** Returns the standing of an instrument of which nothing is known. */
  public static InstrumentStanding unknown(Instrument instrument) {
    return new InstrumentStanding(
        instrument, Optional.empty(), "", Optional.empty(), Optional.empty(), List.of());
  }

  /** Returns the standing after an event. */
  public InstrumentStanding after(InstrumentEvent event) {
    if (event instanceof InstrumentEvent.Calibrated calibrated) {
      return new InstrumentStanding(
          event.instrument(),
          Optional.of(calibrated.due()),
          calibrated.certificate(),
          verified,
          state,
          failures.stream()
              .filter(failure -> !calibrated.calibratedOn().isAfter(day(failure.at())))
              .toList());
    }
    InstrumentEvent.Verified made = (InstrumentEvent.Verified) event;
    return new InstrumentStanding(
        event.instrument(),
        due,
        certificate,
        Optional.of(made.at()),
        Optional.of(made.state()),
        failuresAfter(made));
  }

  private List<Failure> failuresAfter(InstrumentEvent.Verified made) {
    List<Failure> after = new ArrayList<>(failures);
    if (made.state() == Verdict.State.PASS || made.state() == Verdict.State.FAIL) {
      after.removeIf(failure -> failure.repeatedBy(made));
    }
    if (made.state() == Verdict.State.FAIL) {
      after.add(new Failure(made.quantity(), made.standard(), made.standardSerial(), made.at()));
    }
    return after;
  }

  /** Tells whether this speaks of an instrument: the same maker, model and serial number. */
  public boolean of(Instrument other) {
    return instrument.identified()
        && instrument.maker().equals(other.maker())
        && instrument.model().equals(other.model())
        && instrument.serial().equals(other.serial());
  }

  /**
   * Returns what is wrong with a reading that this instrument took, as a sentence; nothing if
   * nothing is. On the day it is due a calibration still counts; days are those of UTC.
   */
  public Optional<String> objection(Instant taken) {
    if (!failures.isEmpty() || !overdue(taken)) {
      return failure();
    }
    return due.map(
        last ->
            "The calibration of instrument %s was due on %s, before this reading of %s."
                .formatted(instrument.serial(), last, day(taken)));
  }

  /** Returns what it failed at last and has not passed since, as a sentence. */
  public Optional<String> failure() {
    if (failures.isEmpty()) {
      return Optional.empty();
    }
    Failure last = failures.get(failures.size() - 1);
    return Optional.of(
        "Instrument %s failed its last verification of %s against %s (serial %s), of %s."
            .formatted(
                instrument.serial(),
                last.quantity(),
                last.standard(),
                last.serial(),
                day(last.at())));
  }

  /** Tells whether its calibration, if one is known, was due before the day of a time. */
  public boolean overdue(Instant at) {
    return due.filter(last -> day(at).isAfter(last)).isPresent();
  }

  private static LocalDate day(Instant instant) {
    return instant.atZone(ZoneOffset.UTC).toLocalDate();
  }
}
