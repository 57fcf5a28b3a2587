package org.tallywire.simulator.face;

import java.util.Arrays;
import java.util.Optional;
import org.tallywire.simulator.face.LineCodec.Decoded;

/**
 * Finds the bridge's lines in bytes as they come. It keeps only the last bytes that can be one
 * line, so that endless garbage costs nothing and the first whole line after it is found (L-6,
 * L-7). Not for several threads.
 */
final class LineReader {

  private static final byte BRIDGE_MARK = '>';

  /** One more than the longest line, for a CR before the LF (L-2). */
  private final byte[] ring = new byte[LineCodec.LONGEST + 1];

  /** Where the next byte goes. */
  private int next;

  /** How many of the last bytes are kept. */
  private int count;

  /** Takes one byte; returns what a line turned out to be if this byte ended one. */
  Optional<Decoded> take(byte b) {
    if (b != '\n') {
      ring[next] = b;
      next = next + 1 == ring.length ? 0 : next + 1;
      count = Math.min(count + 1, ring.length);
      return Optional.empty();
    }
    byte[] bytes = kept();
    next = 0;
    count = 0;
    return bytes.length == 0 ? Optional.empty() : Optional.of(find(bytes));
  }

  /** Forgets a line begun but not ended, as when a connection ends (L-37c). */
  void forget() {
    count = 0;
  }

  private byte[] kept() {
    int last = next == 0 ? ring.length - 1 : next - 1;
    int end = count > 0 && ring[last] == '\r' ? count - 1 : count;
    int begin = Math.max(0, end - LineCodec.LONGEST);
    int first = ((count < ring.length ? 0 : next) + begin) % ring.length;
    byte[] bytes = Arrays.copyOfRange(ring, first, first + end - begin);
    int wrapped = Math.max(0, first + end - begin - ring.length);
    System.arraycopy(ring, 0, bytes, bytes.length - wrapped, wrapped);
    return bytes;
  }

  /**
   * Tries the line from each start mark on, because the first may be part of the noise. A whole
   * line goes before a syntax fault: noise before a line may have a right check value by chance.
   */
  private static Decoded find(byte[] bytes) {
    Optional<Decoded> fault = Optional.empty();
    Optional<Decoded> damaged = Optional.empty();
    for (int i = 0; i < bytes.length; i++) {
      if (bytes[i] != BRIDGE_MARK) {
        continue;
      }
      Decoded found = LineCodec.decode(i == 0 ? bytes : Arrays.copyOfRange(bytes, i, bytes.length));
      if (found instanceof Decoded.Whole) {
        return found;
      }
      if (found instanceof Decoded.Syntax) {
        fault = fault.isPresent() ? fault : Optional.of(found);
      } else {
        damaged = damaged.isPresent() ? damaged : Optional.of(found);
      }
    }
    Optional<Decoded> best = fault.isPresent() ? fault : damaged;
    return best.orElseGet(() -> new Decoded.Damaged("no start mark in " + bytes.length + " bytes"));
  }
}
