package org.tallywire.conform;

import java.time.Duration;
import org.jspecify.annotations.Nullable;
import org.tallywire.api.Link;
import org.tallywire.api.LinkException;
import org.tallywire.api.TimeSource;

/** The links to the bridge under test, one after the other, and the talk on the present one. */
final class BridgeLinks implements AutoCloseable {

  private final BridgeConformance.Source source;
  private final TimeSource time;
  private final BridgeTranscript transcript;

  private @Nullable Talk talk;

  BridgeLinks(BridgeConformance.Source source, TimeSource time, BridgeTranscript transcript) {
    this.source = source;
    this.time = time;
    this.transcript = transcript;
  }

  /** Tells whether a closing is seen here: over TCP it is, on a serial line it is not. */
  boolean showClosing() {
    return source.showsClosing();
  }

  TimeSource time() {
    return time;
  }

  /** Takes note that what was said last is what the scenario is about. */
  void atIssue() {
    transcript.atIssue();
  }

  boolean isOpen() {
    return talk != null;
  }

  Talk talk() {
    if (talk == null) {
      throw new IllegalStateException("no link is open");
    }
    return talk;
  }

  /** Waits for the bridge to open a link in place of the present one. */
  void renew(Duration within) throws LinkException {
    close();
    Link link = source.next(within);
    transcript.opened();
    talk = new Talk(link, time, transcript::line);
  }

  @Override
  public void close() {
    if (talk != null) {
      talk.close();
      talk = null;
    }
  }
}
