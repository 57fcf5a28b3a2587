package org.tallywire.scpi;

import java.util.OptionalLong;
import org.tallywire.api.Instrument;
import org.tallywire.api.SessionHost;

/**
 * Names the lives of an instrument whose numbers begin anew at every power-up and which has no name
 * for that itself: p1, p2 and so on. A life ends when the event status register says power-on, or
 * when a number is lower than one before. Which life it is outlasts the link in the notes, and the
 * bridge in the journal, whose last epoch is found by looking.
 *
 * <p>Not seen: a power-up that was told (the register tells it once) after which the bridge ended
 * before any reading was on disk, if the new count has come past the old one by then.
 */
final class Epochs {

  private static final long MOST = 1 << 20;
  private static final String USED = " used";

  private final SessionHost host;
  private final Instrument instrument;
  private final String note;
  private long life;
  private long last;

  /** Whether a reading of the present life was given, be it on disk yet or not. */
  private boolean used;

  Epochs(SessionHost host, Instrument instrument) {
    this.host = host;
    this.instrument = instrument;
    this.note = "scpi life of " + instrument.serial();
    String noted = host.notes().get(note);
    this.life = noted == null ? Math.max(1, latest()) : Long.parseLong(noted.replace(USED, ""));
    this.last = recorded(life).orElse(0);
    this.used = last > 0 || (noted != null && noted.endsWith(USED));
  }

  /** Returns the present one. */
  String name() {
    return name(life);
  }

  /** Returns the last number that was given or is on disk, 0 if none is. */
  long last() {
    return last;
  }

  /** Tells whether readings of this instrument were taken before. */
  boolean known() {
    return used || life > 1;
  }

  /** Takes note of a number that was given. */
  void gave(long number) {
    last = Math.max(last, number);
    used = true;
    host.notes().put(note, life + USED);
  }

  /** Begins the next, unless nothing was taken in the present one. */
  void restarted() {
    if (used) {
      life++;
      last = 0;
      used = false;
    }
    host.notes().put(note, Long.toString(life));
  }

  private static String name(long life) {
    return "p" + life;
  }

  private OptionalLong recorded(long which) {
    return host.lastRecorded(instrument, name(which));
  }

  /** Returns the last life with a reading on disk, 0 if none has: by doubling, then by halving. */
  private long latest() {
    long high = 1;
    while (high < MOST && recorded(high).isPresent()) {
      high *= 2;
    }
    long low = high / 2;
    while (high - low > 1) {
      long middle = (low + high) / 2;
      if (recorded(middle).isPresent()) {
        low = middle;
      } else {
        high = middle;
      }
    }
    return low;
  }
}
