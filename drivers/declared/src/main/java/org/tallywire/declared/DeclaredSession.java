package org.tallywire.declared;

import java.time.Duration;
import java.util.Map;
import java.util.Optional;
import org.tallywire.api.FaultCode;
import org.tallywire.api.Frame;
import org.tallywire.api.FrameException;
import org.tallywire.api.LinkException;
import org.tallywire.api.Session;
import org.tallywire.api.SessionHost;

/** A conversation as a file says: asks or listens, and makes readings of lines. */
final class DeclaredSession implements Session {

  /** Without a byte for so long after the opening, the first line is a whole one (DRV-7). */
  static final Duration QUIET = Duration.ofMillis(100);

  private final Declaration declaration;
  private final SessionHost host;
  private final Understanding understanding;
  private final Asking asking;

  private boolean firstLine;
  private long opened;
  private long heard;

  DeclaredSession(Declaration declaration, Map<String, String> serials, SessionHost host) {
    this.declaration = declaration;
    this.host = host;
    this.understanding = new Understanding(declaration, host);
    this.asking = new Asking(declaration, serials, host);
    this.firstLine = declaration.firstMayBeHalf();
  }

  @Override
  public void start() throws LinkException {
    opened = host.time().nanos();
    heard = opened;
    asking.start();
  }

  @Override
  public void frame(Frame frame) throws FrameException, LinkException {
    boolean mayBeHalf = firstLine && !cameAfterQuiet(frame);
    firstLine = false;
    if (frame.bytes().length == 0) {
      return; // a line has ended: the next one is whole
    }
    if (mayBeHalf) {
      throw new FrameException(
          FaultCode.FRAME_NOISE,
          "the first line after the opening may be half of one and was discarded; the next ones"
              + " count",
          frame.bytes());
    }
    Optional<Target> asked = asking.asked();
    if (asked.isEmpty() && !declaration.listens()) {
      throw new FrameException(
          FaultCode.OUT_OF_ORDER, "a line came that nobody asked for", frame.bytes());
    }
    asking.took(understood(frame, asked.orElseGet(asking::only)));
  }

  /** Makes of a line what the rules say; one that is not understood is an answer all the same. */
  private Understanding.Outcome understood(Frame frame, Target target) throws FrameException {
    try {
      Understanding.Outcome outcome = understanding.take(frame, target);
      heard = host.time().nanos();
      return outcome;
    } catch (FrameException e) {
      boolean another = e.code() == FaultCode.OUT_OF_ORDER && !target.address().isEmpty();
      if (!another) {
        asking.heard();
      }
      throw e;
    }
  }

  private boolean cameAfterQuiet(Frame frame) {
    Duration sinceOpening = Duration.ofNanos(host.time().nanos() - opened);
    Duration line = host.lineTime(frame.bytes().length + 1);
    return sinceOpening.minus(line).compareTo(QUIET) >= 0;
  }

  @Override
  public void durable() {
    // a meter without acknowledgements has nothing to be told
  }

  @Override
  public void tick() throws LinkException {
    long now = host.time().nanos();
    if (declaration.silence().isPresent() && now - heard >= declaration.silence().get().toNanos()) {
      throw new LinkException(
          FaultCode.LINK_SILENT,
          "no line that makes sense came for " + Words.written(declaration.silence().get()));
    }
    asking.tick();
  }

  @Override
  public long nextTick() {
    long due = asking.nextTick();
    if (declaration.silence().isEmpty()) {
      return due;
    }
    long silent = heard + declaration.silence().get().toNanos();
    return due == Long.MAX_VALUE || silent - due < 0 ? silent : due;
  }
}
