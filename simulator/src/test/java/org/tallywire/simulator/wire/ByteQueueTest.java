package org.tallywire.simulator.wire;

import static org.junit.jupiter.api.Assertions.assertArrayEquals;
import static org.junit.jupiter.api.Assertions.assertEquals;
import static org.junit.jupiter.api.Assertions.assertTrue;

import org.junit.jupiter.api.Test;

/** A ring of five places, filled by hand. */
class ByteQueueTest {

  @Test
  void theOldestGoFirstAndTheOldestAreLost() {
    ByteQueue queue = new ByteQueue(5);
    assertEquals(0, queue.add(new byte[] {1, 2, 3}));
    assertArrayEquals(new byte[] {1, 2}, queue.take(2));
    assertEquals(0, queue.add(new byte[] {4, 5, 6, 7}));
    assertEquals(2, queue.add(new byte[] {8, 9}));
    assertArrayEquals(new byte[] {5, 6, 7, 8, 9}, queue.take(100));
    assertTrue(queue.isEmpty());
    assertEquals(3, queue.add(new byte[] {1, 2, 3, 4, 5, 6, 7, 8}));
    assertArrayEquals(new byte[] {4}, queue.take(1));
    queue.clear();
    assertArrayEquals(new byte[0], queue.take(1));
  }
}
