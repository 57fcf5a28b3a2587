package org.tallywire.simulator.wire;

import java.io.ByteArrayOutputStream;

/**
 * What a receiver makes of bytes sent at another speed than its own.
 *
 * <p>Bytes go out as a start bit (low), eight bits from the lowest, a stop bit (high). A receiver
 * waits for low, then looks at the middle of each of its own bit times. Where it finds the stop bit
 * low it yields a zero byte, as a serial port does that marks no errors (termios).
 */
final class WrongSpeed {

  private static final int FRAME_BITS = 10;
  private static final int BYTE_BITS = 8;

  private WrongSpeed() {}

  /** Returns what is heard at one speed of bytes sent without pause at another, in baud. */
  static byte[] heard(byte[] sent, int sentBaud, int heardBaud) {
    double step = (double) sentBaud / heardBaud;
    double end = (double) sent.length * FRAME_BITS;
    ByteArrayOutputStream heard = new ByteArrayOutputStream();
    double time = 0;
    while (time < end) {
      if (high(sent, time)) {
        time = Math.floor(time) + 1;
      } else if (high(sent, time + step / 2)) {
        time += step / 2;
      } else {
        heard.write(frame(sent, time, step));
        time += (FRAME_BITS - 0.5) * step;
      }
    }
    return heard.toByteArray();
  }

  private static int frame(byte[] sent, double start, double step) {
    int value = 0;
    for (int bit = 0; bit < BYTE_BITS; bit++) {
      if (high(sent, start + (bit + 1.5) * step)) {
        value |= 1 << bit;
      }
    }
    return high(sent, start + (BYTE_BITS + 1.5) * step) ? value : 0;
  }

  private static boolean high(byte[] sent, double time) {
    long bit = (long) Math.floor(time);
    long index = bit / FRAME_BITS;
    int place = (int) (bit % FRAME_BITS);
    if (index >= sent.length || place == FRAME_BITS - 1) {
      return true;
    }
    return place > 0 && (sent[(int) index] >> (place - 1) & 1) == 1;
  }
}
