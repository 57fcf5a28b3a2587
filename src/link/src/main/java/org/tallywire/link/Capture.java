package org.tallywire.link;

import java.io.IOException;
import java.time.Duration;
import java.util.Arrays;
import java.util.function.Consumer;
import org.tallywire.api.FaultCode;
import org.tallywire.api.Link;
import org.tallywire.api.LinkException;
import org.tallywire.api.TimeSource;

/**
 * A link that writes down what goes over another one. What cannot be written ends it with {@link
 * FaultCode#LINK_LOST}: a capture with a hole would be taken for what went over the wire. It closes
 * the other link, not the file.
 */
public final class Capture implements Link {

  private final Link link;
  private final CaptureWriter writer;
  private final TimeSource time;
  private final Consumer<CaptureEvent> witness;
  private final long begun;

  /**
   * Begins now.
   *
   * @param witness is told of every event as well
   */
  public Capture(Link link, CaptureWriter writer, TimeSource time, Consumer<CaptureEvent> witness) {
    this.link = link;
    this.writer = writer;
    this.time = time;
    this.witness = witness;
    this.begun = time.nanos();
  }

  @Override
  public void settle() throws LinkException {
    link.settle();
  }

  @Override
  public int read(byte[] buffer, Duration wait) throws LinkException {
    int count = link.read(buffer, wait);
    if (count > 0) {
      note(CaptureEvent.Direction.CAME, Arrays.copyOf(buffer, count));
    }
    return count;
  }

  @Override
  public void write(byte[] bytes) throws LinkException {
    link.write(bytes);
    if (bytes.length > 0) {
      note(CaptureEvent.Direction.SENT, bytes.clone());
    }
  }

  private void note(CaptureEvent.Direction direction, byte[] bytes) throws LinkException {
    CaptureEvent event = new CaptureEvent(elapsed(), direction, bytes);
    try {
      writer.write(event);
    } catch (IOException e) {
      throw unwritten(e);
    }
    witness.accept(event);
  }

  @Override
  public void speed(int baud) throws LinkException {
    link.speed(baud);
    try {
      writer.remark(elapsed(), "speed %d baud".formatted(baud));
    } catch (IOException e) {
      throw unwritten(e);
    }
  }

  private Duration elapsed() {
    return Duration.ofNanos(time.nanos() - begun);
  }

  private static LinkException unwritten(IOException cause) {
    return new LinkException(
        FaultCode.LINK_LOST, "writing the capture file: " + cause.getMessage(), cause);
  }

  @Override
  public void close() {
    link.close();
  }
}
