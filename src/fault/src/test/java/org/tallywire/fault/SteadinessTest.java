package org.tallywire.fault;

import static org.junit.jupiter.api.Assertions.assertEquals;
import static org.junit.jupiter.api.Assertions.assertTrue;

import java.util.ArrayList;
import java.util.List;
import java.util.Map;
import java.util.Random;
import java.util.function.DoubleUnaryOperator;
import org.junit.jupiter.api.DisplayName;
import org.junit.jupiter.api.Test;

/** What does not hold still is found and named, and noise around a level is not. */
class SteadinessTest {

  private static final double MEGABYTE = 1 << 20;
  private static final int LENGTH = 600;

  private final long seed = new Random().nextLong();
  private final Random random = new Random(seed);

  private DoubleUnaryOperator heap = at -> 20;
  private DoubleUnaryOperator resident = at -> 400;
  private DoubleUnaryOperator threads = at -> 90;
  private DoubleUnaryOperator descriptors = at -> 150;
  private DoubleUnaryOperator rate = at -> 80;
  private DoubleUnaryOperator delay = at -> 0.1;

  @Test
  @DisplayName("Noise around a level is steady, be the journal growing and the start steep")
  void steady() {
    heap = at -> at < 60 ? 60 - 0.6 * at : 20 + 0.2 * random.nextGaussian();
    threads = at -> at < 60 ? 40 + at / 2 : 90 + random.nextInt(3);
    assertEquals(List.of(), unsteady(5), "seed " + seed);
  }

  @Test
  @DisplayName("A leak of a tenth of the heap in the whole length is found, half of that is not")
  void heap() {
    // so little noise that the line is off by a sixth of what is between leak and limit (1 sigma)
    heap = at -> 20 + 2.4 * at / LENGTH + 0.02 * random.nextGaussian();
    assertFound("live heap");
    heap = at -> 20 + 1.0 * at / LENGTH + 0.02 * random.nextGaussian();
    assertEquals(List.of(), unsteady(0), "seed " + seed);
  }

  @Test
  @DisplayName("Growing memory beside the heap, a falling rate and a growing delay are found")
  void others() {
    resident = at -> 400 + 30 * at / LENGTH;
    assertFound("resident memory");
    resident = at -> 400;
    rate = at -> 80 - 32 * at / LENGTH;
    assertFound("readings received");
    rate = at -> 80;
    delay = at -> 5 * at / LENGTH;
    assertFound("journalled, not received for");
  }

  @Test
  @DisplayName(
      "Threads and open files may be more by as many as links may be down, with their kind")
  void counted() {
    threads = at -> at < 300 ? 90 : 94;
    assertEquals(List.of(), unsteady(4));
    assertFound("threads");
    assertTrue(unsteady(3).get(0).contains("thread leaked=4"), unsteady(3).toString());
    threads = at -> 90;
    descriptors = at -> at < 300 ? 150 : 151;
    assertFound("open files");
  }

  @Test
  @DisplayName("A figure that was never measured is not steady")
  void unmeasured() {
    heap = at -> Double.NaN;
    assertFound("live heap");
  }

  private void assertFound(String name) {
    List<String> found = unsteady(0);
    assertEquals(1, found.size(), "seed %d: %s".formatted(seed, found));
    assertTrue(found.get(0).startsWith(name), found.toString());
  }

  private List<String> unsteady(int down) {
    List<Sample> samples = new ArrayList<>();
    for (int at = 5; at <= LENGTH; at += 5) {
      boolean measured = at % 15 == 0;
      samples.add(
          new Sample(
              at,
              measured ? heap.applyAsDouble(at) * MEGABYTE : Double.NaN,
              resident.applyAsDouble(at) * MEGABYTE,
              (int) threads.applyAsDouble(at),
              (int) descriptors.applyAsDouble(at),
              at * MEGABYTE,
              4 * MEGABYTE,
              rate.applyAsDouble(at),
              delay.applyAsDouble(at),
              down,
              at < 300 ? Map.of() : Map.of("thread leaked", 4)));
    }
    return new Steadiness(samples).unsteady(true);
  }
}
