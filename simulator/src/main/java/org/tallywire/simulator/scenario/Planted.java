package org.tallywire.simulator.scenario;

import java.time.Duration;
import java.util.Optional;

/**
 * A fault and when it is there, in bench time: the tester's own measuring time from the start.
 *
 * @param from zero for one that is there from the start
 * @param until nothing for one that stays
 */
public record Planted(Fault fault, Duration from, Optional<Duration> until) {

  private static final Duration FREEZE = Duration.ofSeconds(5);
  private static final Duration UNPLUG = Duration.ofSeconds(2);

  public Planted {
    Duration start = from;
    if (from.isNegative() || until.filter(u -> u.compareTo(start) <= 0).isPresent()) {
      throw new IllegalArgumentException("from %s until %s".formatted(from, until));
    }
  }

  /**
   * Plants a fault that begins then and lasts as it does where nobody says how long: a freeze 5 s,
   * an unplugged cable 2 s, anything else for good.
   */
  public static Planted usual(Fault fault, Duration from) {
    Optional<Duration> lasts =
        fault instanceof LineFault.Freeze
            ? Optional.of(FREEZE)
            : fault instanceof LineFault.Unplug ? Optional.of(UNPLUG) : Optional.empty();
    return new Planted(fault, from, lasts.map(from::plus));
  }

  /** Returns whether it is there at that moment. */
  public boolean at(Duration moment) {
    return moment.compareTo(from) >= 0 && until.filter(u -> moment.compareTo(u) >= 0).isEmpty();
  }
}
