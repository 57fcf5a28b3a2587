package org.tallywire.simulator.scenario;

import java.time.Duration;
import java.util.List;
import java.util.concurrent.CopyOnWriteArrayList;

/** What is planted now: faults may come and go while the tester works. For several threads. */
public final class Faults {

  private final CopyOnWriteArrayList<Planted> planted;

  /** Begins with what a scenario plants. */
  public Faults(List<Planted> planted) {
    this.planted = new CopyOnWriteArrayList<>(planted);
  }

  /** Plants one more. */
  public void plant(Planted more) {
    planted.add(more);
  }

  /** Takes away every fault of that name; returns how many there were. */
  public int clear(String word) {
    return clear(planted.stream().filter(one -> one.fault().word().equals(word)).toList());
  }

  /** Takes all away; returns how many there were. */
  public int clear() {
    return clear(all());
  }

  private int clear(List<Planted> some) {
    planted.removeAll(some);
    return some.size();
  }

  /** Returns everything planted, also what is to come. */
  public List<Planted> all() {
    return List.copyOf(planted);
  }

  /** Returns the faults of that kind that are there at a moment of bench time, with their times. */
  public List<Planted> planted(Class<? extends Fault> kind, Duration moment) {
    return planted.stream().filter(p -> kind.isInstance(p.fault()) && p.at(moment)).toList();
  }

  /** Returns the faults of that kind that are there at a moment of bench time. */
  public <T extends Fault> List<T> at(Class<T> kind, Duration moment) {
    return planted(kind, moment).stream().map(p -> kind.cast(p.fault())).toList();
  }
}
