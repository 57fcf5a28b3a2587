package org.tallywire.api;

import java.time.Instant;
import java.time.temporal.ChronoUnit;
import java.util.Collections;
import java.util.LinkedHashMap;
import java.util.List;
import java.util.Locale;
import java.util.Map;
import java.util.Optional;

/**
 * One observation of one instrument. Immutable; it does not know its test set.
 *
 * @param instrument who measured
 * @param sequence the instrument's own number for it, if it numbers its readings
 * @param part counts the readings of one frame, from 0
 * @param labels what the instrument itself says it measured: test, windings, phase, tap …; with a
 *     {@link ClockQuality#RELATIVE} clock also uptime, in milliseconds
 * @param values one or more named values
 * @param status the instrument's own word on the whole reading
 * @param takenAt when the instrument took it, by its clock, if it says so; to the millisecond
 * @param clock how good that clock is
 * @param receivedAt when its last byte arrived here; to the millisecond
 * @param raw the line as received
 */
public record Reading(
    Instrument instrument,
    Optional<SequenceNumber> sequence,
    int part,
    Map<String, String> labels,
    List<Value> values,
    Status status,
    Optional<Instant> takenAt,
    ClockQuality clock,
    Instant receivedAt,
    String raw) {

  public Reading {
    takenAt = takenAt.map(instant -> instant.truncatedTo(ChronoUnit.MILLIS));
    receivedAt = receivedAt.truncatedTo(ChronoUnit.MILLIS);
    labels = Collections.unmodifiableMap(new LinkedHashMap<>(labels));
    values = List.copyOf(values);
    if (values.isEmpty()) {
      throw new IllegalArgumentException("a reading has at least one value");
    }
  }

  /** Returns the value of the given quantity, if the reading has one. */
  public Optional<Value> value(Quantity quantity) {
    return values.stream().filter(v -> v.quantity().equals(quantity)).findFirst();
  }

  /** Returns the value of the given quantity if it has a number. */
  public Optional<Value.Measured> measured(Quantity quantity) {
    return value(quantity).filter(Value.Measured.class::isInstance).map(Value.Measured.class::cast);
  }

  /** Returns this reading with other values. */
  public Reading with(List<Value> others) {
    return new Reading(
        instrument, sequence, part, labels, others, status, takenAt, clock, receivedAt, raw);
  }

  /**
   * Tells whether the instrument says the same in both: everything but how and when it arrived. A
   * repeat that does not say the same under the same identity is an alarm.
   */
  public boolean saysTheSame(Reading other) {
    return instrument.equals(other.instrument)
        && sequence.equals(other.sequence)
        && part == other.part
        && labels.equals(other.labels)
        && values.equals(other.values)
        && status == other.status
        && takenAt.equals(other.takenAt)
        && clock == other.clock;
  }

  /** An instrument's word on a whole reading. */
  public enum Status {
    OK,
    NOT_SETTLED,
    SUSPECT,
    ABORTED;

    /** Returns the word for it in lines and records, for example {@code not-settled}. */
    public String word() {
      return name().toLowerCase(Locale.ROOT).replace('_', '-');
    }

    /** Returns the status with the given word, or nothing if there is none. */
    public static Optional<Status> of(String word) {
      for (Status status : values()) {
        if (status.word().equals(word)) {
          return Optional.of(status);
        }
      }
      return Optional.empty();
    }
  }
}
