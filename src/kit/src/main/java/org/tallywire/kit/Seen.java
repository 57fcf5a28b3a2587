package org.tallywire.kit;

import java.util.ArrayList;
import java.util.List;
import org.tallywire.api.Example.Expected;
import org.tallywire.api.Reading;

/** Tells which of the readings that are expected a driver has given. */
final class Seen {

  private final PlayedDriver played;

  Seen(PlayedDriver played) {
    this.played = played;
  }

  /**
   * Tells whether all were given since a number of readings; one that an instrument sent again
   * counts if the driver dropped it as a repeat.
   */
  boolean allSince(int first, List<Expected> expected) {
    List<Reading> readings = played.host.readings();
    List<Reading> left = new ArrayList<>(readings.subList(first, readings.size()));
    int repeats = played.host.repeats();
    for (Expected one : expected) {
      int found = indexOf(left, one);
      if (found >= 0) {
        left.remove(found);
      } else if (repeats > 0 && indexOf(readings, one) >= 0) {
        repeats--;
      } else {
        return false;
      }
    }
    return true;
  }

  /** Tells whether all were given. */
  boolean all(List<Expected> expected) {
    return allSince(0, expected);
  }

  private static int indexOf(List<Reading> readings, Expected expected) {
    for (int i = 0; i < readings.size(); i++) {
      if (expected.matches(readings.get(i))) {
        return i;
      }
    }
    return -1;
  }

  /** Returns a reading that is none of the expected ones, in words; empty if there is none. */
  String stranger(List<Expected> expected) {
    for (Reading reading : played.host.readings()) {
      if (expected.stream().noneMatch(one -> one.matches(reading))) {
        return Sentences.reading(reading);
      }
    }
    return "";
  }
}
