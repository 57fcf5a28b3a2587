package org.tallywire.conform;

import java.nio.charset.StandardCharsets;
import java.time.Duration;
import java.util.ArrayDeque;
import java.util.ArrayList;
import java.util.Arrays;
import java.util.List;
import java.util.Optional;
import java.util.Queue;
import org.tallywire.api.Frame;
import org.tallywire.api.FrameException;
import org.tallywire.api.Framer;
import org.tallywire.api.Link;
import org.tallywire.api.LinkException;
import org.tallywire.api.TimeSource;
import org.tallywire.line.LineFramer;
import org.tallywire.line.LineMessage;

/**
 * The kit's end of one link: says lines, right or wrong, and waits for what the other side says.
 * Keeps all that was said and heard. Used by one thread.
 */
final class Talk implements AutoCloseable {

  private static final int BUFFER = 4096;
  private static final int SHOWN = 500;

  private final Link link;
  private final TimeSource time;
  private final Framer framer = new LineFramer();
  private final Queue<Heard> waiting = new ArrayDeque<>();
  private final List<String> transcript = new ArrayList<>();
  private final byte[] buffer = new byte[BUFFER];
  private boolean ended;

  Talk(Link link, TimeSource time) {
    this.link = link;
    this.time = time;
  }

  /** What was heard. */
  sealed interface Heard {

    /** When, as {@link TimeSource#nanos}. */
    long at();

    /** An undamaged line of the grammar, with its text as it came. */
    record Line(LineMessage message, String text, long at) implements Heard {}

    /** Bytes that are no such line. */
    record Fault(FrameException fault, long at) implements Heard {}

    /** The other side closed the link. */
    record Closed(String why, long at) implements Heard {}
  }

  /** Says any bytes. */
  void sayBytes(byte[] bytes) throws LinkException {
    sayBytes(bytes, Math.max(1, bytes.length));
  }

  /**
   * Says any bytes in pieces, each of which a slow line takes in the time that a write may last.
   */
  void sayBytes(byte[] bytes, int piece) throws LinkException {
    transcript.add("kit    " + text(bytes));
    for (int at = 0; at < bytes.length; at += piece) {
      link.write(Arrays.copyOfRange(bytes, at, Math.min(bytes.length, at + piece)));
    }
  }

  /** Waits for the next thing to hear; empty if the time ran out. */
  Optional<Heard> next(Duration within) {
    long deadline = time.nanos() + within.toNanos();
    long left = within.toNanos();
    while (waiting.isEmpty() && !ended) {
      listen(Duration.ofNanos(Math.max(0, left)));
      left = deadline - time.nanos();
      if (left <= 0) {
        break;
      }
    }
    return Optional.ofNullable(waiting.poll());
  }

  /** Returns all lines said and heard, for people. */
  List<String> transcript() {
    return List.copyOf(transcript);
  }

  @Override
  public void close() {
    link.close();
  }

  private void listen(Duration wait) {
    try {
      int count = link.read(buffer, wait);
      framer.feed(buffer, count, time.now(), new Ear());
    } catch (LinkException e) {
      ended = true;
      transcript.add("other  (closed the link)");
      waiting.add(new Heard.Closed(String.valueOf(e.getMessage()), time.nanos()));
    }
  }

  private static String text(byte[] bytes) {
    String text = new String(bytes, StandardCharsets.ISO_8859_1).stripTrailing();
    return text.length() <= SHOWN
        ? text
        : "%s… (%d bytes)".formatted(text.substring(0, SHOWN), bytes.length);
  }

  private final class Ear implements Framer.Sink {

    @Override
    public void frame(Frame frame) {
      transcript.add("other  " + frame.text());
      try {
        waiting.add(new Heard.Line(LineMessage.parse(frame), frame.text(), time.nanos()));
      } catch (FrameException e) {
        waiting.add(new Heard.Fault(e, time.nanos()));
      }
    }

    @Override
    public void fault(FrameException fault) {
      transcript.add("other  " + text(fault.bytes()) + "  (" + fault.getMessage() + ")");
      waiting.add(new Heard.Fault(fault, time.nanos()));
    }
  }
}
