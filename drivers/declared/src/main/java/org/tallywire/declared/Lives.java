package org.tallywire.declared;

import java.util.OptionalLong;
import org.tallywire.api.Instrument;
import org.tallywire.api.RecordId;
import org.tallywire.api.SessionHost;

/**
 * The lives of instruments that number their readings: from one switching on to the next, 1 and
 * upwards, each an epoch of its own. The present one is found again on disk when the bridge was
 * started anew (DRV-12).
 */
final class Lives {

  private static final int MOST = 1 << 20;

  private final SessionHost host;

  Lives(SessionHost host) {
    this.host = host;
  }

  /** Returns the last number on disk of an instrument's latest life, if this run gave none. */
  OptionalLong lastOnDisk(Instrument instrument) {
    if (host.notes().containsKey(key(instrument))) {
      return OptionalLong.empty();
    }
    int latest = latest(instrument);
    if (latest > 0) {
      host.notes().put(key(instrument), Integer.toString(latest));
    }
    return recorded(instrument, latest);
  }

  /** Returns the epoch of the present life, which has begun. */
  String epoch(Instrument instrument) {
    return name(Integer.parseInt(host.notes().getOrDefault(key(instrument), "1")));
  }

  /** Begins the next life, and returns its epoch. */
  String begin(Instrument instrument) {
    String noted = host.notes().get(key(instrument));
    int life = noted == null ? latest(instrument) : Integer.parseInt(noted);
    host.notes().put(key(instrument), Integer.toString(life + 1));
    return name(life + 1);
  }

  private static String key(Instrument instrument) {
    return "life of " + RecordId.source(instrument, "");
  }

  private static String name(int life) {
    return "n" + life;
  }

  private OptionalLong recorded(Instrument instrument, int life) {
    return life == 0 ? OptionalLong.empty() : host.lastRecorded(instrument, name(life));
  }

  /** Returns the last life with a reading on disk, 0 if none has: by doubling, then by halving. */
  private int latest(Instrument instrument) {
    int high = 1;
    while (high < MOST && recorded(instrument, high).isPresent()) {
      high *= 2;
    }
    int low = high / 2;
    while (high - low > 1) {
      int middle = (low + high) / 2;
      if (recorded(instrument, middle).isPresent()) {
        low = middle;
      } else {
        high = middle;
      }
    }
    return low;
  }
}
