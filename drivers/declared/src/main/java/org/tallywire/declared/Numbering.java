package org.tallywire.declared;

import java.time.Duration;
import java.time.Instant;
import java.util.ArrayList;
import java.util.HashMap;
import java.util.List;
import java.util.Map;
import java.util.Optional;
import java.util.OptionalLong;
import org.tallywire.api.ClockQuality;
import org.tallywire.api.Gap;
import org.tallywire.api.Instrument;
import org.tallywire.api.Reading;
import org.tallywire.api.SequenceNumber;
import org.tallywire.api.SessionHost;
import org.tallywire.api.Value;

/**
 * Gives readings their numbers and tells repeats, gaps and new beginnings by them (DRV-12 to
 * DRV-14). What it must know over a lost link stands in the host's notes.
 */
final class Numbering {

  private static final int MOST_DATED = 200;

  private final Declaration declaration;
  private final SessionHost host;
  private final Map<String, String> notes;
  private final Lives lives;

  /** When the last reading was given, by address; elapsed time holds within this run alone. */
  private final Map<String, Long> givenAt = new HashMap<>();

  Numbering(Declaration declaration, SessionHost host) {
    this.declaration = declaration;
    this.host = host;
    this.notes = host.notes();
    this.lives = new Lives(host);
  }

  /** What one reading rule made of a line. */
  record Observation(
      List<Value> values,
      Map<String, String> labels,
      Reading.Status status,
      Optional<Instant> takenAt,
      ClockQuality clock) {}

  /** All that came of a line or block, its number not yet decided. */
  record Taken(
      String address,
      Instrument instrument,
      List<Observation> observations,
      Optional<CountRule> rule,
      Optional<Long> count,
      boolean dated,
      String raw,
      Instant receivedAt) {

    /** Tells whether it says itself which reading it is. */
    boolean tellsItself() {
      return count.isPresent() || observations.get(0).takenAt().isPresent();
    }
  }

  /** The last count and the number that it became, in an epoch. */
  private record Last(String epoch, long count, long number) {

    static Last of(String note) {
      String[] parts = note.split(" ", -1);
      return new Last(parts[0], Long.parseLong(parts[1]), Long.parseLong(parts[2]));
    }

    String note() {
      return epoch + " " + count + " " + number;
    }
  }

  /** Takes note who speaks; another instrument begins anew. */
  void identified(Target target, Instrument instrument) {
    String before = notes.put("serial." + target.address(), instrument.serial());
    if (before != null && !before.equals(instrument.serial())) {
      forget(target.address());
    }
  }

  /** Takes note that the instrument says it was switched on. */
  void started(Target target) {
    boolean wasKnown = forget(target.address());
    notes.put("anew." + target.address(), "");
    if (wasKnown) {
      host.restarted(
          "the instrument%s says that it was switched on".formatted(of(target.address())));
    }
  }

  private boolean forget(String address) {
    boolean known = notes.remove("count." + address) != null;
    known |= notes.remove("last." + address) != null;
    notes.remove("dated." + address);
    return known;
  }

  /** Gives the readings of a line, or counts them as a repeat. */
  void give(Taken taken) {
    goOn(taken);
    String before = notes.put("last." + taken.address(), taken.raw());
    boolean same = taken.raw().equals(before);
    boolean repeat = same && (taken.tellsItself() || cameJustNow(taken.address()));
    repeat |= taken.dated() && cameLately(taken);
    givenAt.put(taken.address(), host.time().nanos());
    if (repeat) {
      host.repeated();
      return;
    }
    Optional<SequenceNumber> number = Optional.empty();
    if (taken.rule().isPresent() && taken.count().isPresent()) {
      number = Optional.of(number(taken, taken.rule().get(), before != null));
    }
    int part = 0;
    for (Observation observation : taken.observations()) {
      host.reading(
          new Reading(
              taken.instrument(),
              number,
              part++,
              observation.labels(),
              observation.values(),
              observation.status(),
              observation.takenAt(),
              observation.clock(),
              taken.receivedAt(),
              taken.raw()));
    }
  }

  /** Tells whether a line with date and time is one of the last, and notes it: a store printed. */
  private boolean cameLately(Taken taken) {
    String key = "dated." + taken.address();
    List<String> lines = new ArrayList<>(List.of(notes.getOrDefault(key, "").split("\0", -1)));
    boolean came = lines.contains(taken.raw());
    if (!came) {
      lines.add(taken.raw());
      int from = Math.max(0, lines.size() - MOST_DATED);
      notes.put(key, String.join("\0", lines.subList(from, lines.size())));
    }
    return came;
  }

  private boolean cameJustNow(String address) {
    Long at = givenAt.get(address);
    Duration within = declaration.repeats().orElse(Duration.ZERO);
    return at != null && !within.isZero() && host.time().nanos() - at <= within.toNanos();
  }

  /** Returns the number; a repeated one has other content if it is known what came before. */
  private SequenceNumber number(Taken taken, CountRule rule, boolean otherContent) {
    String key = "count." + taken.address();
    long count = taken.count().orElseThrow();
    String note = notes.get(key);
    Last now;
    if (note == null) {
      now = begin(taken, rule, count);
    } else {
      Last last = Last.of(note);
      long forward = rule.forward(last.count(), count);
      boolean firstAgain = otherContent && forward == 0 && count == rule.first();
      if (firstAgain || rule.beginsAnew(last.count(), count)) {
        host.restarted(
            "the instrument%s counts from %d again after %d: it has started again"
                .formatted(of(taken.address()), count, last.count()));
        now = begin(taken, rule, count);
      } else {
        now = new Last(last.epoch(), count, last.number() + forward);
        declareBetween(taken, last, now);
      }
    }
    notes.put(key, now.note());
    return new SequenceNumber(now.epoch(), now.number());
  }

  private Last begin(Taken taken, CountRule rule, long count) {
    notes.remove("anew." + taken.address());
    return new Last(lives.begin(taken.instrument()), count, rule.number(count));
  }

  /** Goes on behind what an earlier run of the bridge put on disk of this instrument. */
  private void goOn(Taken taken) {
    String key = "count." + taken.address();
    boolean anew = notes.containsKey("anew." + taken.address());
    if (taken.rule().isEmpty() || anew || notes.containsKey(key)) {
      return;
    }
    OptionalLong last = lives.lastOnDisk(taken.instrument());
    if (last.isPresent()) {
      String epoch = lives.epoch(taken.instrument());
      long number = last.getAsLong();
      notes.put(key, new Last(epoch, taken.rule().get().count(number), number).note());
      host.recorded(taken.instrument(), new SequenceNumber(epoch, number))
          .ifPresent(reading -> notes.put("last." + taken.address(), reading.raw()));
    }
  }

  private void declareBetween(Taken taken, Last last, Last now) {
    long from = last.number() + 1;
    long to = now.number() - 1;
    if (to < from) {
      return;
    }
    host.gap(
        new Gap(
            taken.instrument(),
            new SequenceNumber(now.epoch(), from),
            to,
            Gap.Reason.SKIPPED,
            "readings %d to %d are missing: the instrument%s counted from %d to %d"
                .formatted(from, to, of(taken.address()), last.count(), now.count()),
            "",
            taken.receivedAt()));
  }

  private static String of(String address) {
    return address.isEmpty() ? "" : " at address " + address;
  }
}
