package org.tallywire.simulator.wire;

import java.time.Duration;
import java.util.HashSet;
import java.util.Optional;
import java.util.Set;
import org.jspecify.annotations.Nullable;
import org.tallywire.simulator.scenario.Faults;
import org.tallywire.simulator.scenario.LineFault.Unplug;
import org.tallywire.simulator.scenario.Planted;

/**
 * Decides by bench time when the cable is to be pulled out and when it is to be in again; each
 * planted {@link Unplug} pulls it once.
 *
 * <p>The best moment is in the middle of a write. Where nothing is written in the first half of the
 * fault's time, the cable is pulled without. A fault whose time passes between two looks is not
 * missed: the cable is pulled late and comes back at the next look.
 */
final class Cable {

  /** How long it stays out where the fault does not say. */
  static final Duration OUT = Duration.ofSeconds(2);

  private final Faults faults;
  private final Set<Planted> pulled = new HashSet<>();
  private Duration now = Duration.ZERO;
  private Optional<Planted> due = Optional.empty();
  private @Nullable Planted outBy;
  private Duration backAt = Duration.ZERO;

  Cable(Faults faults) {
    this.faults = faults;
  }

  /**
   * Looks at what is planted. At bench time zero nothing is pulled: it may not have begun, and then
   * it would not pass, and the cable would never come back.
   */
  void look(Duration moment) {
    if (!pulled.isEmpty()) {
      pulled.retainAll(faults.all());
    }
    Duration before = now;
    now = moment;
    due =
        faults.all().stream()
            .filter(p -> p.fault() instanceof Unplug && !pulled.contains(p))
            .filter(p -> moment.compareTo(p.from()) >= 0 && !moment.isZero())
            .filter(p -> p.until().filter(until -> until.compareTo(before) <= 0).isEmpty())
            .findFirst();
  }

  boolean out() {
    return outBy != null;
  }

  /** Returns whether it is to be pulled at a write now. */
  boolean dueAtWrite() {
    return due.isPresent() && !out();
  }

  /** Returns whether it is to be pulled now though nothing is written. */
  boolean dueAnyway() {
    return !out() && due.filter(p -> now.compareTo(half(p)) >= 0).isPresent();
  }

  private static Duration half(Planted planted) {
    Duration lasts = planted.until().map(until -> until.minus(planted.from())).orElse(OUT);
    return planted.from().plus(lasts.dividedBy(2));
  }

  void pull() {
    Planted by = due.orElseThrow();
    pulled.add(by);
    outBy = by;
    backAt = by.until().orElse(now.plus(OUT));
    due = Optional.empty();
  }

  /**
   * Returns whether it is out and to be in again: its time is over, or the fault was taken away.
   */
  boolean backDue() {
    Planted by = outBy;
    return by != null && (now.compareTo(backAt) >= 0 || !faults.all().contains(by));
  }

  void back() {
    outBy = null;
  }
}
