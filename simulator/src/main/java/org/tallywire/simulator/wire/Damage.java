package org.tallywire.simulator.wire;

import java.util.List;
import java.util.Random;
import org.tallywire.simulator.scenario.LineFault.BitErrors;
import org.tallywire.simulator.scenario.LineFault.LostBytes;

/**
 * Bit errors and lost bytes in one direction of a line, each independent of all others.
 *
 * <p>The random numbers are drawn byte by byte, so the same bytes are hit alike however the stream
 * is cut into pieces.
 */
final class Damage {

  private final Random random;

  Damage(Random random) {
    this.random = random;
  }

  /** Damages the first {@code length} bytes in their place; returns how many are left. */
  int hit(byte[] bytes, int length, List<BitErrors> errors, List<LostBytes> losses) {
    if (errors.isEmpty() && losses.isEmpty()) {
      return length;
    }
    int left = 0;
    for (int i = 0; i < length; i++) {
      byte one = bytes[i];
      for (BitErrors error : errors) {
        one ^= (byte) turned(error.probability());
      }
      boolean lost = false;
      for (LostBytes loss : losses) {
        lost |= random.nextDouble() < loss.probability();
      }
      if (!lost) {
        bytes[left++] = one;
      }
    }
    return left;
  }

  private int turned(double probability) {
    int mask = 0;
    for (int bit = 0; bit < Byte.SIZE; bit++) {
      if (random.nextDouble() < probability) {
        mask |= 1 << bit;
      }
    }
    return mask;
  }
}
