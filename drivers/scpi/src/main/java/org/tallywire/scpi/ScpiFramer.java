package org.tallywire.scpi;

import java.time.Instant;
import java.util.Arrays;
import java.util.Optional;
import org.tallywire.api.FaultCode;
import org.tallywire.api.Frame;
import org.tallywire.api.FrameException;
import org.tallywire.api.Framer;

/**
 * Cuts response messages at LF, CR or CR LF, but not inside a definite length block, whose length
 * says where it ends. Outside of blocks a message is printable ASCII. A block longer than the limit
 * is a fault as soon as its head is read, so that damage to a length costs the rest of that line
 * and no more. Blocks of indefinite length end with a signal that only the bus has, and are no
 * frame.
 */
final class ScpiFramer implements Framer {

  /** Five hundred readings of a reference meter in one block, and as much again. */
  static final int LIMIT = 131_072;

  private static final int FIRST_ROOM = 256;
  private static final int SHOWN = 64;

  private byte[] buffer = new byte[FIRST_ROOM];
  private int length;

  /** Where the element under way began. */
  private int element;

  private boolean inString;

  /** Up to here the bytes belong to a block. */
  private int blockEnd;

  private Optional<FrameException> bad = Optional.empty();

  @Override
  public int limit() {
    return LIMIT;
  }

  @Override
  public void reset() {
    length = 0;
    element = 0;
    inString = false;
    blockEnd = 0;
    bad = Optional.empty();
    if (buffer.length > FIRST_ROOM) {
      buffer = new byte[FIRST_ROOM];
    }
  }

  @Override
  public void feed(byte[] bytes, int count, Instant receivedAt, Sink sink) {
    for (int i = 0; i < count; i++) {
      take(bytes[i], receivedAt, sink);
    }
  }

  private void take(byte b, Instant receivedAt, Sink sink) {
    if (length < blockEnd) {
      keep(b);
    } else if (b == '\r' || b == '\n') {
      end(receivedAt, sink);
    } else if (bad.isEmpty()) {
      if (b != '\t' && (b < ' ' || b > '~')) {
        spoil(
            FaultCode.FRAME_NOISE,
            "bytes that are no text: noise, or another speed or parity than the instrument's",
            b);
      } else if (length == LIMIT) {
        spoil(FaultCode.FRAME_TOO_LONG, "a message of more than %d bytes".formatted(LIMIT), b);
      } else {
        keep(b);
        look(b);
      }
    }
  }

  private void keep(byte b) {
    if (length == buffer.length) {
      buffer = Arrays.copyOf(buffer, Math.min(LIMIT, 2 * length));
    }
    buffer[length++] = b;
  }

  /** Follows strings and elements, and finds the head of a block. */
  private void look(byte b) {
    if (b == '"') {
      inString = !inString;
    } else if (!inString && (b == ',' || b == ';')) {
      element = length;
    } else if (!inString && buffer[element] == '#') {
      Response.Block.at(buffer, element, length).ifPresent(this::enter);
    }
  }

  private void enter(Response.Block block) {
    if (block.from() != length) {
      return; // its content is in already
    }
    if (block.to() > LIMIT) {
      spoil(
          FaultCode.FRAME_TOO_LONG,
          "a block of %d bytes; %d fit".formatted(block.to() - block.from(), LIMIT - length),
          buffer[length - 1]);
    } else {
      blockEnd = block.to();
    }
  }

  private void spoil(FaultCode code, String words, byte b) {
    byte[] shown = Arrays.copyOf(buffer, Math.min(SHOWN, length) + 1);
    shown[shown.length - 1] = b;
    bad =
        Optional.of(
            new FrameException(
                code, words + "; what follows up to the next line end is dropped", shown));
  }

  private void end(Instant receivedAt, Sink sink) {
    if (bad.isPresent()) {
      sink.fault(bad.get());
    } else if (length > 0) {
      sink.frame(new Frame(Arrays.copyOf(buffer, length), receivedAt));
    }
    reset();
  }
}
