package org.tallywire.bridge;

import static org.junit.jupiter.api.Assertions.assertEquals;
import static org.junit.jupiter.api.Assertions.assertTrue;

import java.time.Duration;
import java.util.HashSet;
import java.util.Random;
import java.util.Set;
import java.util.SplittableRandom;
import org.junit.jupiter.api.DisplayName;
import org.junit.jupiter.api.Test;

/** The pause between a close and the next opening (a port opened again at once may fail). */
class BackOffTest {

  private static final int[] BASES = {250, 500, 1_000, 2_000, 4_000, 4_000, 4_000};

  @Test
  @DisplayName("It grows from 250 ms, never beyond 5 s, each a little by chance, and begins anew")
  void grows() {
    long seed = new Random().nextLong();
    BackOff backOff = new BackOff(new SplittableRandom(seed));
    Set<Duration> last = new HashSet<>();
    for (int round = 0; round < 100; round++) {
      for (int base : BASES) {
        Duration pause = backOff.next();
        assertTrue(pause.toMillis() >= base, "seed %d: %s".formatted(seed, pause));
        assertTrue(pause.toMillis() <= base * 5 / 4, "seed %d: %s".formatted(seed, pause));
        if (base == 4_000) {
          last.add(pause);
        }
      }
      backOff.reset();
    }
    assertEquals(5_000, BASES[BASES.length - 1] * 5 / 4);
    assertTrue(last.size() > 50, "no chance in it, seed " + seed);
  }
}
