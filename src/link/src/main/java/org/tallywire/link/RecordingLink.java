package org.tallywire.link;

import java.io.IOException;
import java.math.BigDecimal;
import java.math.RoundingMode;
import java.time.Duration;
import java.util.Optional;
import java.util.concurrent.CountDownLatch;
import java.util.concurrent.TimeUnit;
import java.util.concurrent.atomic.AtomicBoolean;
import java.util.concurrent.atomic.AtomicLong;
import org.jspecify.annotations.Nullable;
import org.slf4j.Logger;
import org.slf4j.LoggerFactory;
import org.tallywire.api.FaultCode;
import org.tallywire.api.Link;
import org.tallywire.api.LinkAddress;
import org.tallywire.api.LinkException;

/**
 * Plays what came in a capture file, once. A link that was closed in the middle goes on where it
 * stood when it is opened again, and a recording that was played to its end is not played again: a
 * station would otherwise take its readings for new ones, for ever. What is written to it goes
 * nowhere and is counted.
 */
final class RecordingLink implements Link {

  private static final Logger log = LoggerFactory.getLogger(RecordingLink.class);

  /** How long after the last byte the end is told, so that what was read is understood first. */
  private static final Duration TAIL = Duration.ofMillis(300);

  private final LinkAddress.Recording address;
  private final Place place;
  private final CaptureReader reader;
  private final CountDownLatch closing = new CountDownLatch(1);
  private final AtomicBoolean closed = new AtomicBoolean();
  private final long begun = System.nanoTime();
  private final Duration from;

  private @Nullable CaptureEvent current;
  private int taken;
  private long endsAt;
  private volatile boolean atEnd;
  private final AtomicLong ignored = new AtomicLong();

  /** How far a recording was played, over all links to it. Guarded by itself. */
  static final class Place {
    private long events;
    private int bytes;
    private Duration at = Duration.ZERO;
    private boolean over;
    private boolean open;
  }

  private RecordingLink(
      LinkAddress.Recording address, Place place, CaptureReader reader, Duration from) {
    this.address = address;
    this.place = place;
    this.reader = reader;
    this.from = from;
  }

  static RecordingLink open(LinkAddress.Recording address, Place place) throws LinkException {
    synchronized (place) {
      if (place.over) {
        throw refused(
            address,
            FaultCode.LINK_REFUSED,
            "it was played to its end and is not played again; start anew to play it once more");
      }
      if (place.open) {
        throw refused(address, FaultCode.LINK_BUSY, "it is being played already");
      }
      try {
        RecordingLink link =
            new RecordingLink(address, place, CaptureReader.open(address.file()), place.at);
        link.goOn();
        place.open = true;
        return link;
      } catch (IOException e) {
        throw new LinkException(
            FaultCode.LINK_NOT_FOUND, "opening %s: %s".formatted(address, e.getMessage()), e);
      }
    }
  }

  private static LinkException refused(
      LinkAddress.Recording address, FaultCode code, String sentence) {
    return new LinkException(code, "opening %s: %s".formatted(address, sentence));
  }

  /** Goes to the event at which the link before stood. */
  private void goOn() throws IOException {
    boolean whole = false;
    try {
      for (long i = 0; i < place.events; i++) {
        reader.next();
      }
      advance();
      taken = current == null ? 0 : Math.min(place.bytes, current.bytes().length - 1);
      whole = true;
    } finally {
      if (!whole) {
        reader.close();
      }
    }
  }

  /** Takes the next event that came; those that were sent are passed over. */
  private void advance() throws IOException {
    Optional<CaptureEvent> next = reader.next();
    while (next.isPresent() && next.get().direction() == CaptureEvent.Direction.SENT) {
      place.events++;
      next = reader.next();
    }
    current = next.orElse(null);
    taken = 0;
    if (current == null) {
      atEnd = true;
      endsAt = System.nanoTime() + TAIL.toNanos();
    }
  }

  @Override
  public int read(byte[] buffer, Duration wait) throws LinkException {
    synchronized (place) {
      if (closed.get()) {
        throw lost("it was closed", null);
      }
    }
    long deadline = System.nanoTime() + wait.toNanos();
    CaptureEvent event = current;
    if (event == null) {
      return end(deadline);
    }
    long due = due(event);
    if (pause(due - deadline > 0 ? deadline : due)) {
      throw lost("it was closed", null);
    }
    return due - System.nanoTime() > 0 ? 0 : take(event, buffer);
  }

  private int take(CaptureEvent event, byte[] buffer) throws LinkException {
    synchronized (place) {
      if (closed.get()) {
        throw lost("it was closed", null);
      }
      int count = Math.min(buffer.length, event.bytes().length - taken);
      System.arraycopy(event.bytes(), taken, buffer, 0, count);
      taken += count;
      place.at = event.elapsed();
      if (taken == event.bytes().length) {
        place.events++;
        try {
          advance();
        } catch (IOException e) {
          throw lost(String.valueOf(e.getMessage()), e);
        }
      }
      place.bytes = taken;
      return count;
    }
  }

  private int end(long deadline) throws LinkException {
    if (pause(endsAt - deadline > 0 ? deadline : endsAt)) {
      throw lost("it was closed", null);
    }
    if (endsAt - System.nanoTime() > 0) {
      return 0;
    }
    synchronized (place) {
      place.over = true;
    }
    throw lost("the recording is at its end; it is not played again by itself", null);
  }

  private long due(CaptureEvent event) {
    if (address.pace().signum() == 0) {
      return begun;
    }
    BigDecimal nanos = BigDecimal.valueOf(event.elapsed().minus(from).toNanos());
    return begun + nanos.divide(address.pace(), 0, RoundingMode.DOWN).longValue();
  }

  /** Waits until then; tells whether the link was closed meanwhile. */
  private boolean pause(long until) {
    try {
      return closing.await(Math.max(0, until - System.nanoTime()), TimeUnit.NANOSECONDS);
    } catch (InterruptedException e) {
      Thread.currentThread().interrupt();
      return true;
    }
  }

  private LinkException lost(String why, @Nullable IOException cause) {
    LinkException lost =
        new LinkException(FaultCode.LINK_LOST, "reading %s: %s".formatted(address, why));
    if (cause != null) {
      lost.initCause(cause);
    }
    return lost;
  }

  @Override
  public void write(byte[] bytes) throws LinkException {
    if (closed.get()) {
      throw new LinkException(
          FaultCode.LINK_LOST, "writing to %s: it is closed".formatted(address));
    }
    ignored.addAndGet(bytes.length);
  }

  @Override
  public void close() {
    closing.countDown();
    if (closed.getAndSet(true)) {
      return;
    }
    synchronized (place) {
      place.open = false;
      try {
        reader.close();
      } catch (IOException e) {
        log.debug("closing {}: {}", address, e.toString());
      }
    }
    log.info(
        "{}: {}; {} bytes that were written to it went nowhere",
        address,
        atEnd ? "played to its end" : "stopped in the middle",
        ignored.get());
  }
}
