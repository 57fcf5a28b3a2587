package org.tallywire.simulator;

import java.util.Arrays;
import java.util.Optional;
import org.tallywire.simulator.LineCodec.Decoded;

/**
 * Finds the bridge's lines in bytes as they come. It keeps only the last bytes that can be one
 * line, so that endless garbage costs nothing and the first whole line after it is found (L-6,
 * L-7). Not for several threads.
 */
final class LineReader {

  private static final byte BRIDGE_MARK = '>';

  /** One more than the longest line, for a CR before the LF (L-2). */
  private final byte[] ring = new byte[LineCodec.LONGEST + 1];

  private long count;

  /** Takes one byte; returns what a line turned out to be if this byte ended one. */
  Optional<Decoded> take(byte b) {
    if (b != '\n') {
      ring[(int) (count++ % ring.length)] = b;
      return Optional.empty();
    }
    byte[] bytes = kept();
    count = 0;
    return bytes.length == 0 ? Optional.empty() : Optional.of(find(bytes));
  }

  private byte[] kept() {
    int length = (int) Math.min(count, ring.length);
    byte[] bytes = new byte[length];
    for (int i = 0; i < length; i++) {
      bytes[i] = ring[(int) ((count - length + i) % ring.length)];
    }
    int end = length > 0 && bytes[length - 1] == '\r' ? length - 1 : length;
    return Arrays.copyOfRange(bytes, Math.max(0, end - LineCodec.LONGEST), end);
  }

  /** Tries the line from each start mark on, because the first may be part of the noise. */
  private static Decoded find(byte[] bytes) {
    Decoded first = new Decoded.Damaged("no start mark in %d bytes".formatted(bytes.length));
    boolean tried = false;
    for (int i = 0; i < bytes.length; i++) {
      if (bytes[i] != BRIDGE_MARK) {
        continue;
      }
      Decoded found = LineCodec.decode(Arrays.copyOfRange(bytes, i, bytes.length));
      if (!(found instanceof Decoded.Damaged)) {
        return found;
      }
      first = tried ? first : found;
      tried = true;
    }
    return first;
  }
}
