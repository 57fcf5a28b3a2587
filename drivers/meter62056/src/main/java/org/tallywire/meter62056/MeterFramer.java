package org.tallywire.meter62056;

import java.time.Instant;
import java.util.Arrays;
import org.tallywire.api.FaultCode;
import org.tallywire.api.Frame;
import org.tallywire.api.FrameException;
import org.tallywire.api.Framer;

/**
 * Cuts lines that begin with {@code /} or ACK (identifications, and what an optical head echoes)
 * and data messages from STX to the check character behind ETX, which the session checks since it
 * has to ask for a damaged one again. A start in the middle of a message begins the next one:
 * neither STX nor {@code /} may stand in data.
 */
final class MeterFramer implements Framer {

  static final byte STX = 0x02;
  static final byte ETX = 0x03;
  static final byte ACK = 0x06;

  /** Some hundred registers; a load profile is not read out. */
  static final int LIMIT = 32_768;

  private static final int FIRST_ROOM = 512;
  private static final int SHOWN = 64;

  private byte[] buffer = new byte[FIRST_ROOM];
  private int length;
  private boolean message;
  private boolean checkNext;

  @Override
  public int limit() {
    return LIMIT;
  }

  @Override
  public void reset() {
    length = 0;
    message = false;
    checkNext = false;
  }

  @Override
  public void feed(byte[] bytes, int count, Instant receivedAt, Sink sink) {
    for (int i = 0; i < count; i++) {
      take(bytes[i], receivedAt, sink);
    }
  }

  private void take(byte b, Instant receivedAt, Sink sink) {
    if (checkNext && !beginsAnother(b)) {
      keep(b);
      sink.frame(new Frame(Arrays.copyOf(buffer, length), receivedAt));
      reset();
    } else if (b == STX || b == '/') {
      abandon(sink);
      message = b == STX;
      keep(b);
    } else if (b == '\n' && !message) {
      endLine(receivedAt, sink);
    } else if (length >= LIMIT - 1) {
      drop(FaultCode.FRAME_TOO_LONG, "more than %d bytes without an end".formatted(LIMIT), sink);
    } else {
      keep(b);
      checkNext = message && b == ETX;
    }
  }

  /** Where a check character was lost, the next message's start comes in its place. */
  private boolean beginsAnother(byte b) {
    return (b == STX || b == '/') && BlockCheck.of(buffer, 1, length) != b;
  }

  private void keep(byte b) {
    if (length == buffer.length) {
      buffer = Arrays.copyOf(buffer, Math.min(LIMIT, 2 * length));
    }
    buffer[length++] = b;
  }

  private void abandon(Sink sink) {
    if (message) {
      drop(FaultCode.FRAME_NOISE, "a data message without an end", sink);
    } else if (length > 0) {
      drop(FaultCode.FRAME_NOISE, "bytes that belong to no message", sink);
    }
  }

  private void endLine(Instant receivedAt, Sink sink) {
    int end = length > 0 && buffer[length - 1] == '\r' ? length - 1 : length;
    if (end > 0 && (buffer[0] == '/' || buffer[0] == ACK) && isText(end)) {
      sink.frame(new Frame(Arrays.copyOf(buffer, end), receivedAt));
      reset();
    } else if (end > 0) {
      drop(
          FaultCode.FRAME_NOISE,
          "bytes that belong to no message: noise, or another speed than the meter's",
          sink);
    } else {
      reset();
    }
  }

  private boolean isText(int end) {
    for (int i = 1; i < end; i++) {
      if (buffer[i] < ' ' || buffer[i] > '~') {
        return false;
      }
    }
    return true;
  }

  private void drop(FaultCode code, String words, Sink sink) {
    sink.fault(new FrameException(code, words, Arrays.copyOf(buffer, Math.min(SHOWN, length))));
    reset();
  }
}
