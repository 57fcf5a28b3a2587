package org.tallywire.simulator.wire;

/** Bytes that wait in order, at most so many; where there are more, the oldest are lost. */
final class ByteQueue {

  private final byte[] ring;
  private int first;
  private int size;

  ByteQueue(int most) {
    this.ring = new byte[most];
  }

  boolean isEmpty() {
    return size == 0;
  }

  void clear() {
    size = 0;
  }

  /** Puts bytes at the end; returns how many of the oldest were lost for them. */
  int add(byte[] bytes) {
    int lost = 0;
    for (byte one : bytes) {
      if (size == ring.length) {
        first = (first + 1) % ring.length;
        size--;
        lost++;
      }
      ring[(first + size) % ring.length] = one;
      size++;
    }
    return lost;
  }

  /** Takes the oldest away, at most so many. */
  byte[] take(int most) {
    byte[] taken = new byte[Math.min(most, size)];
    for (int i = 0; i < taken.length; i++) {
      taken[i] = ring[(first + i) % ring.length];
    }
    first = (first + taken.length) % ring.length;
    size -= taken.length;
    return taken;
  }
}
