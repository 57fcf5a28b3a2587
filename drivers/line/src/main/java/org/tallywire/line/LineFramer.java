package org.tallywire.line;

import java.time.Instant;
import java.util.Arrays;
import org.tallywire.api.FaultCode;
import org.tallywire.api.Frame;
import org.tallywire.api.FrameException;
import org.tallywire.api.Framer;

/**
 * Cuts lines and checks them: terminator, length, alphabet, check value (rules L-1 to L-8). What it
 * yields as a frame, start mark to check value, arrived undamaged. Used by one thread.
 */
public final class LineFramer implements Framer {

  /** The longest line in bytes, start mark and check value included, terminator not (L-6). */
  public static final int LIMIT = 240;

  private static final int SHORTEST =
      1 + LineMessage.CHECK_LENGTH; // without a kind: a syntax fault

  /** The bytes since the last terminator: after garbage without end, only the last of them. */
  private final byte[] buffer = new byte[4 * LIMIT];

  private int length;
  private long dropped;

  @Override
  public int limit() {
    return LIMIT;
  }

  @Override
  public void reset() {
    length = 0;
    dropped = 0;
  }

  @Override
  public void feed(byte[] bytes, int count, Instant receivedAt, Sink sink) {
    for (int i = 0; i < count; i++) {
      if (bytes[i] == '\n') {
        cut(receivedAt, sink);
        reset();
      } else {
        keep(bytes[i]);
      }
    }
  }

  private void keep(byte b) {
    if (length == buffer.length) {
      int kept = LIMIT + 1; // a whole line and its CR may yet stand at the end
      System.arraycopy(buffer, length - kept, buffer, 0, kept);
      dropped += length - kept;
      length = kept;
    }
    buffer[length++] = b;
  }

  private void cut(Instant receivedAt, Sink sink) {
    int end = length > 0 && buffer[length - 1] == '\r' ? length - 1 : length;
    if (end == 0 && dropped == 0) {
      return; // an empty line
    }
    int start = begin(end, receivedAt);
    if (start < 0) {
      sink.fault(damage(end));
      return;
    }
    if (start > 0 || dropped > 0) {
      sink.fault(noise(start));
    }
    sink.frame(new Frame(Arrays.copyOfRange(buffer, start, end), receivedAt));
  }

  /**
   * Returns where the line begins, or -1 if nowhere: at the first start mark from which on it is
   * undamaged and of the grammar. Noise before a line looks undamaged once in 65 536 times, but
   * hardly ever like the grammar; only where nothing does, being undamaged is enough.
   */
  private int begin(int end, Instant receivedAt) {
    int first = undamaged(Math.max(0, end - LIMIT), end);
    if (first < 0 || undamaged(first + 1, end) < 0) {
      return first; // as nearly always: the session reads the grammar, once
    }
    for (int start = first; start >= 0; start = undamaged(start + 1, end)) {
      if (isMessage(new Frame(Arrays.copyOfRange(buffer, start, end), receivedAt))) {
        return start;
      }
    }
    return first;
  }

  /** Returns the first start mark, at that place or behind it, from which the line is undamaged. */
  private int undamaged(int from, int end) {
    for (int start = from; start <= end - SHORTEST; start++) {
      if (isMark(buffer[start]) && intact(start, end)) {
        return start;
      }
    }
    return -1;
  }

  private static boolean isMessage(Frame frame) {
    try {
      LineMessage.parse(frame);
      return true;
    } catch (FrameException e) {
      return false;
    }
  }

  private boolean intact(int start, int end) {
    int star = end - LineMessage.CHECK_LENGTH;
    if (buffer[star] != '*') {
      return false;
    }
    for (int i = start; i < end; i++) {
      if (buffer[i] < 0x20 || buffer[i] > 0x7E) {
        return false;
      }
    }
    return Crc16.of(buffer, start, star) == stated(star + 1);
  }

  /** Returns the four hexadecimal digits at a position as a number, or -1 if they are not such. */
  private int stated(int from) {
    int check = 0;
    for (int i = from; i < from + LineMessage.CHECK_LENGTH - 1; i++) {
      int digit = Character.digit((char) buffer[i], 16);
      if (digit < 0) {
        return -1;
      }
      check = check * 16 + digit;
    }
    return check;
  }

  private FrameException noise(int start) {
    return new FrameException(
        FaultCode.FRAME_NOISE,
        "%d bytes before a start mark were discarded".formatted(dropped + start),
        Arrays.copyOf(buffer, Math.min(start, LIMIT)));
  }

  private FrameException damage(int end) {
    byte[] shown = Arrays.copyOf(buffer, Math.min(end, LIMIT));
    if (end > LIMIT || dropped > 0) {
      return new FrameException(
          FaultCode.FRAME_TOO_LONG,
          "a line of %d bytes, longer than %d, was discarded".formatted(dropped + end, LIMIT),
          shown);
    }
    if (!isMark(buffer[0])) {
      return new FrameException(
          FaultCode.FRAME_NOISE, "%d bytes that are no line were discarded".formatted(end), shown);
    }
    int star = end - LineMessage.CHECK_LENGTH;
    String found =
        star > 0 && buffer[star] == '*' && stated(star + 1) >= 0
            ? "states %04X, the bytes give %04X"
                .formatted(stated(star + 1), Crc16.of(buffer, 0, star))
            : "has no check value";
    return new FrameException(
        FaultCode.FRAME_CHECK,
        "a damaged line of %d bytes was discarded: it %s".formatted(end, found),
        shown);
  }

  private static boolean isMark(byte b) {
    return b == '!' || b == '<' || b == '>';
  }
}
