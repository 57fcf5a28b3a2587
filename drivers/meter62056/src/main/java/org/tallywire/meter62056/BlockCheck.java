package org.tallywire.meter62056;

/**
 * The block check character: the XOR of all characters behind STX up to and including ETX, seven
 * bits each. It catches whatever flips an odd number of bits in one of the seven columns, so every
 * single flipped bit; it misses two flips of the same bit in two characters, and characters that
 * change places. The parity bit of each character, which the port checks, catches single flips too.
 */
final class BlockCheck {

  private static final int SEVEN_BITS = 0x7F;

  private BlockCheck() {}

  /** Returns the character for the bytes from one place to before another. */
  static int of(byte[] bytes, int from, int to) {
    int check = 0;
    for (int i = from; i < to; i++) {
      check ^= bytes[i];
    }
    return check & SEVEN_BITS;
  }

  /** Tells whether a message from STX to its check character is undamaged. */
  static boolean fits(byte[] message) {
    int last = message.length - 1;
    return of(message, 1, last) == (message[last] & SEVEN_BITS);
  }
}
