package org.tallywire.declared;

import java.time.Instant;
import java.util.Arrays;
import java.util.List;
import java.util.Optional;
import org.jspecify.annotations.Nullable;
import org.tallywire.api.FaultCode;
import org.tallywire.api.Frame;
import org.tallywire.api.FrameException;
import org.tallywire.api.Framer;

/**
 * Cuts lines as their file says, checks them and takes out echoes (rules DRV-3 to DRV-8). Where the
 * first line after the opening may be half of one, an empty frame tells that a line has ended.
 */
final class DeclaredFramer implements Framer {

  private static final byte[] NOTHING = new byte[0];

  private final LineShape shape;
  private final List<byte[]> echoes;
  private final boolean tellsFirstEnd;
  private final byte[] buffer;

  private int length;
  private long dropped;
  private int tail;
  private boolean inside;
  private boolean endSeen;
  private @Nullable Instant last;

  DeclaredFramer(LineShape shape, List<byte[]> echoes, boolean tellsFirstEnd) {
    this.shape = shape;
    this.echoes = echoes;
    this.tellsFirstEnd = tellsFirstEnd;
    this.buffer = new byte[shape.longest() + shape.end().length + shape.tail() + 2];
    reset();
  }

  @Override
  public int limit() {
    return shape.longest();
  }

  @Override
  public void reset() {
    forget();
    endSeen = !tellsFirstEnd;
    last = null;
  }

  private void forget() {
    length = 0;
    dropped = 0;
    tail = 0;
    inside = !shape.hasStart();
  }

  @Override
  public void feed(byte[] bytes, int count, Instant receivedAt, Sink sink) {
    if (length > 0 && last != null && last.plus(shape.pause()).isBefore(receivedAt)) {
      String what =
          "%d bytes were discarded: no end came within %s"
              .formatted(dropped + length, Words.written(shape.pause()));
      refuse(FaultCode.FRAME_NOISE, what, sink);
      ended(sink);
    }
    for (int i = 0; i < count; i++) {
      take(bytes[i], receivedAt, sink);
    }
    last = receivedAt;
  }

  private void take(byte b, Instant at, Sink sink) {
    if (tail > 0) {
      keep(b);
      if (--tail == 0) {
        cut(length, at, sink);
      }
    } else if (shape.hasStart() && b == shape.start()[0]) {
      begin(sink);
      keep(b);
    } else if (!inside) {
      outside(b, sink);
    } else {
      inside(b, at, sink);
    }
  }

  private void begin(Sink sink) {
    if (inside && length > 0) {
      refuse(FaultCode.FRAME_NOISE, "a line began again before it ended; the first part", sink);
    } else {
      noise(sink);
    }
    inside = true;
  }

  private void outside(byte b, Sink sink) {
    if (b == '\r' || b == '\n' || length == shape.longest()) {
      noise(sink);
    }
    if (b != '\r' && b != '\n') {
      keep(b);
    }
  }

  /** Drops what came between lines: an echo without a word. */
  private void noise(Sink sink) {
    byte[] found = Arrays.copyOf(buffer, length);
    if (length > 0 && afterEcho(found).length > 0) {
      refuse(FaultCode.FRAME_NOISE, "%d bytes between lines".formatted(length), sink);
    }
    forget();
  }

  private void inside(byte b, Instant at, Sink sink) {
    if (shape.endsAnyhow()) {
      if (b == '\r' || b == '\n') {
        cut(length, at, sink);
      } else {
        keep(b);
      }
      return;
    }
    keep(b);
    int end = shape.end().length;
    if (length >= end && Arrays.equals(buffer, length - end, length, shape.end(), 0, end)) {
      tail = shape.tail();
      if (tail == 0) {
        cut(length - end, at, sink);
      }
    } else if (b == '\n' && shape.endsWithLineEnd()) {
      if (length > 1 || dropped > 0) {
        String ends = Bytes.written(shape.end());
        refuse(FaultCode.FRAME_NOISE, "a line that ends with LF and not with " + ends, sink);
      }
      forget();
      ended(sink);
    }
  }

  private void keep(byte b) {
    if (length == buffer.length) {
      int kept = Math.max(shape.end().length, 1); // the end may yet become whole
      System.arraycopy(buffer, length - kept, buffer, 0, kept);
      dropped += length - kept;
      length = kept;
    }
    buffer[length++] = b;
  }

  private void cut(int frameLength, Instant at, Sink sink) {
    if (dropped > 0) {
      String what = "a line of %d bytes, longer than %d,";
      refuse(
          FaultCode.FRAME_TOO_LONG, what.formatted(dropped + frameLength, shape.longest()), sink);
      ended(sink);
      return;
    }
    byte[] frame = afterEcho(Arrays.copyOf(buffer, frameLength));
    forget();
    if (isBlank(frame)) {
      ended(sink);
      return;
    }
    Optional<FrameException> damage = shape.damage(frame);
    if (damage.isPresent()) {
      sink.fault(damage.get());
      ended(sink);
    } else {
      sink.frame(new Frame(frame, at));
      endSeen = true;
    }
  }

  /** Takes note that a line has ended, and tells it if it is the first since the opening. */
  private void ended(Sink sink) {
    if (!endSeen) {
      endSeen = true;
      sink.frame(new Frame(NOTHING, last == null ? Instant.EPOCH : last));
    }
  }

  private void refuse(FaultCode code, String what, Sink sink) {
    byte[] bytes = Arrays.copyOf(buffer, Math.min(length, shape.longest()));
    String whole =
        what.endsWith("discarded") || what.contains("were discarded")
            ? what
            : what + " was discarded";
    sink.fault(new FrameException(code, whole, bytes));
    forget();
  }

  /** Returns what is left behind an echo; nothing if it is one. */
  private byte[] afterEcho(byte[] found) {
    for (byte[] echo : echoes) {
      if (found.length >= echo.length
          && Arrays.equals(found, 0, echo.length, echo, 0, echo.length)) {
        return Arrays.copyOfRange(found, echo.length, found.length);
      }
      int end = echo.length;
      while (end > 0 && isEnd(echo[end - 1])) {
        end--;
      }
      if (end > 0 && found.length == end && Arrays.equals(found, 0, end, echo, 0, end)) {
        return NOTHING;
      }
    }
    return found;
  }

  private boolean isEnd(byte b) {
    return b == '\r'
        || b == '\n'
        || (shape.end().length > 0 && b == shape.end()[shape.end().length - 1]);
  }

  private static boolean isBlank(byte[] frame) {
    for (byte b : frame) {
      if (b != ' ') {
        return false;
      }
    }
    return true;
  }
}
