package org.tallywire.declared;

import java.time.DateTimeException;
import java.time.Duration;
import java.time.Instant;
import java.time.LocalDate;
import java.time.LocalTime;
import java.time.ZoneId;
import java.time.format.DateTimeFormatter;
import java.time.temporal.TemporalAccessor;
import java.time.temporal.TemporalQueries;
import java.util.List;
import java.util.Map;
import java.util.Optional;
import java.util.stream.Collectors;
import org.tallywire.api.ClockQuality;

/**
 * How an instrument says when it took a reading.
 *
 * @param from the fields that hold it, in the pattern's order, one blank between
 * @param pattern of Java's date and time formats
 * @param zone its clock's
 * @param clock how good that clock is
 */
record TimeRule(List<String> from, DateTimeFormatter pattern, ZoneId zone, ClockQuality clock) {

  private static final Duration HALF_A_DAY = Duration.ofHours(12);

  /** Returns the text that the pattern is for. */
  String text(Map<String, String> fields) {
    return from.stream()
        .map(name -> fields.getOrDefault(name, "").strip())
        .collect(Collectors.joining(" "));
  }

  /** Tells whether a text that is a time says its date too. */
  boolean isDated(String text) {
    return pattern.parse(text).query(TemporalQueries.localDate()) != null;
  }

  /** Returns the time; without a date, on the day that brings it nearest to the receipt. */
  Optional<Instant> read(String text, Instant receivedAt) {
    try {
      TemporalAccessor said = pattern.parse(text);
      LocalTime time = said.query(TemporalQueries.localTime());
      LocalDate date = said.query(TemporalQueries.localDate());
      if (time == null) {
        return Optional.empty();
      }
      if (date != null) {
        return Optional.of(date.atTime(time).atZone(zone).toInstant());
      }
      LocalDate today = LocalDate.ofInstant(receivedAt, zone);
      Instant near = today.atTime(time).atZone(zone).toInstant();
      if (Duration.between(near, receivedAt).compareTo(HALF_A_DAY) > 0) {
        near = today.plusDays(1).atTime(time).atZone(zone).toInstant();
      } else if (Duration.between(receivedAt, near).compareTo(HALF_A_DAY) > 0) {
        near = today.minusDays(1).atTime(time).atZone(zone).toInstant();
      }
      return Optional.of(near);
    } catch (DateTimeException e) {
      return Optional.empty();
    }
  }
}
