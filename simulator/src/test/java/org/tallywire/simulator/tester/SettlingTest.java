package org.tallywire.simulator.tester;

import static org.junit.jupiter.api.Assertions.assertEquals;
import static org.junit.jupiter.api.Assertions.assertFalse;
import static org.junit.jupiter.api.Assertions.assertTrue;

import java.util.List;
import org.junit.jupiter.api.Test;

/** When three values in a row count as settled. */
class SettlingTest {

  @Test
  void threeReadingsGiveTheEnd() {
    // 0.25 + 0.05·e^(−t/4 s) every 3 s: 0.3, 0.27361832763705, 0.26115650800742 (by hand).
    Settling settling = new Settling(0.05);
    settling.add(0.3);
    settling.add(0.27361832763705);
    assertFalse(settling.settled());
    settling.add(0.26115650800742);
    assertEquals(0.25, settling.end(), 1e-12);
    assertTrue(settling.settled(), "0.0112 to go, 0.0131 allowed");
    Settling strict = new Settling(0.03);
    List.of(0.3, 0.27361832763705, 0.26115650800742).forEach(strict::add);
    assertFalse(strict.settled());
  }

  @Test
  void aReadingThatTurnsRoundHasNotSettled() {
    Settling settling = new Settling(0.01);
    List.of(1.0, 0.9, 0.899).forEach(settling::add);
    assertTrue(settling.settled());
    Settling turning = new Settling(0.01);
    List.of(0.9, 0.8, 0.801).forEach(turning::add);
    assertFalse(turning.settled());
    List.of(0.80101, 0.80102).forEach(turning::add);
    assertTrue(turning.settled());
  }

  @Test
  void aReadingThatCreepsHasNotSettled() {
    // Steps of 5e-8 that hardly get smaller (τ = 200 intervals) still have 1e-5 to go.
    Settling settling = new Settling(1e-6);
    for (int i = 0; i < 3; i++) {
      settling.add(1 + 1e-5 * StrictMath.exp(-i / 200.0));
    }
    assertFalse(settling.settled());
  }
}
