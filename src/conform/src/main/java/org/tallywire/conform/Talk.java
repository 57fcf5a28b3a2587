package org.tallywire.conform;

import java.nio.charset.StandardCharsets;
import java.time.Duration;
import java.util.ArrayDeque;
import java.util.ArrayList;
import java.util.Arrays;
import java.util.List;
import java.util.Optional;
import java.util.Queue;
import java.util.function.Consumer;
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
  private final Consumer<String> lines;
  private final byte[] buffer = new byte[BUFFER];
  private boolean ended;

  Talk(Link link, TimeSource time) {
    this(link, time, line -> {});
  }

  /**
   * Makes one.
   *
   * @param lines takes every line at once, as it is said or heard
   */
  Talk(Link link, TimeSource time, Consumer<String> lines) {
    this.link = link;
    this.time = time;
    this.lines = lines;
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
    note("kit    " + text(bytes));
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
      note("other  (closed the link)");
      waiting.add(new Heard.Closed(String.valueOf(e.getMessage()), time.nanos()));
    }
  }

  private void note(String line) {
    transcript.add(line);
    lines.accept(line);
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
      note("other  " + frame.text());
      try {
        waiting.add(new Heard.Line(LineMessage.parse(frame), frame.text(), time.nanos()));
      } catch (FrameException e) {
        waiting.add(new Heard.Fault(e, time.nanos()));
      }
    }

    @Override
    public void fault(FrameException fault) {
      note("other  " + text(fault.bytes()) + "  (" + fault.getMessage() + ")");
      waiting.add(new Heard.Fault(fault, time.nanos()));
    }
  }
}
