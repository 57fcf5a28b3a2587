package org.tallywire.simulator.face;

import java.util.ArrayDeque;
import java.util.Collection;
import java.util.Collections;
import java.util.Deque;
import java.util.Iterator;
import java.util.Optional;
import java.util.stream.Collectors;
import java.util.stream.Stream;
import org.tallywire.simulator.tester.Measurement;
import org.tallywire.simulator.tester.Measurement.Status;

/**
 * The readings that the meter keeps, and the measurement that {@code INITiate} began: the trigger
 * model of SCPI-1999 volume 2, chapter 24 (from memory), as far as a meter needs it that measures
 * as the person at the bench goes on. Every reading is kept, initiated or not.
 */
final class ScpiMeter {

  /** Readings kept; the oldest go. */
  static final int CAPACITY = 500;

  /** How long a measurement waits for its reading. */
  static final long PATIENCE_NANOS = 600_000_000_000L;

  /** Bit of {@code STATus:OPERation}: a measurement has been initiated and not ended. */
  static final int MEASURING = 1 << 4;

  /** Bit of {@code STATus:QUEStionable}, free to the designer: the newest reading is not ok. */
  static final int NOT_OK = 1 << 9;

  private final ScpiStatus status;
  private final Deque<Reading> readings = new ArrayDeque<>();
  private ScpiFunction function = ScpiFunction.ALL;
  private Optional<ScpiFunction> measuring = Optional.empty();
  private boolean gaveUp;
  private boolean completeWanted;
  private long now;
  private long since;
  private long last;

  ScpiMeter(ScpiStatus status) {
    this.status = status;
  }

  /** A reading with its number, from 1 at power-up. */
  record Reading(long number, Measurement measurement) {

    /** Returns the number and the values, the elements of a reading. */
    String elements() {
      return number + "," + values();
    }

    /** Returns the values with commas between. */
    String values() {
      return Stream.of(ScpiFunction.values())
          .filter(ScpiFunction::element)
          .map(element -> element.value(measurement))
          .collect(Collectors.joining(","));
    }

    /** Returns number, test, windings, phase, tap and status with commas between. */
    String labels() {
      String tap =
          measurement.tap().isPresent()
              ? Integer.toString(measurement.tap().getAsInt())
              : ScpiNumber.NOT_A_NUMBER;
      return String.join(
          ",",
          Long.toString(number),
          ScpiNumber.string(measurement.test()),
          ScpiNumber.string(measurement.windings()),
          ScpiNumber.string(measurement.phase()),
          tap,
          ScpiNumber.string(measurement.status().toString()));
    }
  }

  /** It is so late now; a measurement that has waited too long is given up. */
  void time(long now) {
    this.now = now;
    if (measuring() && now - since >= PATIENCE_NANOS) {
      gaveUp = true;
      status.report(ScpiError.TIME_OUT);
      end();
    }
  }

  /** Returns after how many nanoseconds a measurement would be given up. */
  long untilGivenUp() {
    return measuring() ? Math.max(0, PATIENCE_NANOS - (now - since)) : Long.MAX_VALUE;
  }

  /** Keeps a reading; a measurement of what is in it ends. */
  void measured(Measurement measurement) {
    gaveUp = false;
    readings.add(new Reading(++last, measurement));
    if (readings.size() > CAPACITY) {
      readings.remove();
    }
    status.questionable().condition(NOT_OK, measurement.status() != Status.OK);
    if (measuring.filter(wanted -> wanted.in(measurement)).isPresent()) {
      end();
    }
  }

  /** Begins a measurement; one under way is ended first. */
  void initiate(ScpiFunction wanted) {
    end();
    gaveUp = false;
    measuring = Optional.of(wanted);
    since = now;
    status.operation().condition(MEASURING, true);
  }

  /** Ends the measurement under way, if one is. */
  void end() {
    measuring = Optional.empty();
    status.operation().condition(MEASURING, false);
    if (completeWanted) {
      completeWanted = false;
      status.operationComplete();
    }
  }

  boolean measuring() {
    return measuring.isPresent();
  }

  /** Returns whether a measurement was given up and nothing has been measured since. */
  boolean gaveUp() {
    return gaveUp;
  }

  /** Sets the operation complete bit once no measurement is under way ({@code *OPC}). */
  void completeWanted() {
    completeWanted = measuring();
    if (!completeWanted) {
      status.operationComplete();
    }
  }

  /** No operation complete bit is wanted any more ({@code *CLS}, {@code *RST}). */
  void completeNotWanted() {
    completeWanted = false;
  }

  ScpiFunction function() {
    return function;
  }

  void function(ScpiFunction wanted) {
    function = wanted;
  }

  /** Returns the newest reading in which this was measured. */
  Optional<Reading> newest(ScpiFunction wanted) {
    for (Iterator<Reading> newestFirst = readings.descendingIterator(); newestFirst.hasNext(); ) {
      Reading reading = newestFirst.next();
      if (wanted.in(reading.measurement())) {
        return Optional.of(reading);
      }
    }
    return Optional.empty();
  }

  /** Returns a reading by its number. */
  Optional<Reading> reading(long number) {
    return readings.stream().filter(reading -> reading.number() == number).findFirst();
  }

  /** Returns what is kept, the oldest first. */
  Collection<Reading> readings() {
    return Collections.unmodifiableCollection(readings);
  }

  /** Returns the last number given, 0 if none. */
  long last() {
    return last;
  }

  void forget() {
    readings.clear();
  }
}
