package org.tallywire.line;

import java.nio.charset.StandardCharsets;
import java.time.Instant;
import java.util.ArrayList;
import java.util.Arrays;
import java.util.List;
import java.util.Map;
import org.tallywire.api.FaultCode;
import org.tallywire.api.Frame;
import org.tallywire.api.FrameException;
import org.tallywire.api.Framer;

/** What a receiver makes of bytes, in the words of {@code shared/vectors/line/README.md}. */
sealed interface Outcome {

  /** A line, values without escapes. */
  record Line(char mark, String kind, Map<String, String> fields) implements Outcome {}

  /**
   * A fault.
   *
   * @param joined whether it is noise before a line in the same terminator
   */
  record Fault(String name, boolean joined) implements Outcome {}

  static Outcome fault(String name) {
    return new Fault(name, false);
  }

  /** Returns what the bridge's framer and messages make of bytes, fed up to each terminator. */
  static List<Outcome> of(byte[] bytes) {
    Receiver receiver = new Receiver();
    int from = 0;
    for (int i = 0; i < bytes.length; i++) {
      if (bytes[i] == '\n') {
        receiver.feed(Arrays.copyOfRange(bytes, from, i + 1));
        from = i + 1;
      }
    }
    receiver.feed(Arrays.copyOfRange(bytes, from, bytes.length));
    return receiver.outcomes;
  }

  /** Returns the same for bytes that arrive one by one. */
  static List<Outcome> byteByByte(byte[] bytes) {
    Receiver receiver = new Receiver();
    for (byte b : bytes) {
      receiver.feed(new byte[] {b});
    }
    return receiver.outcomes;
  }

  /** Collects outcomes; noise and a frame of one piece belong together. */
  final class Receiver implements Framer.Sink {

    private static final Instant NOW = Instant.parse("2026-01-15T08:00:00Z");

    private final LineFramer framer = new LineFramer();
    private final List<Outcome> outcomes = new ArrayList<>();
    private int begin;

    private void feed(byte[] piece) {
      begin = outcomes.size();
      framer.feed(piece, piece.length, NOW, this);
    }

    @Override
    public void frame(Frame frame) {
      int last = outcomes.size() - 1;
      if (last >= begin && outcomes.get(last).equals(Outcome.fault("noise"))) {
        outcomes.set(last, new Fault("noise", true));
      }
      try {
        LineMessage message = LineMessage.parse(frame);
        outcomes.add(new Line(message.mark(), message.kind(), message.fields()));
      } catch (FrameException e) {
        outcomes.add(Outcome.fault(name(e.code())));
      }
    }

    @Override
    public void fault(FrameException fault) {
      outcomes.add(Outcome.fault(name(fault.code())));
    }

    private static String name(FaultCode code) {
      return switch (code) {
        case FRAME_NOISE -> "noise";
        case FRAME_CHECK -> "damaged";
        case FRAME_TOO_LONG -> "too-long";
        case FRAME_SYNTAX -> "syntax";
        default -> throw new IllegalArgumentException("no fault of a line: " + code);
      };
    }
  }

  /** Returns text as it goes over a line, one byte a character. */
  static byte[] bytes(String text) {
    return text.getBytes(StandardCharsets.ISO_8859_1);
  }
}
