package org.tallywire.publish;

import java.time.Duration;
import org.slf4j.Logger;
import org.slf4j.LoggerFactory;
import org.tallywire.api.TimeSource;
import org.tallywire.journal.JournalException;

/** Something asked of the journal that failed and is asked again after a second, said once. */
final class Retry {

  private static final Logger LOG = LoggerFactory.getLogger(Retry.class);
  private static final Duration PAUSE = Duration.ofSeconds(1);

  private final String doing;
  private final TimeSource time;
  private boolean failing;
  private String failure = "";
  private long failedAt;

  Retry(String doing, TimeSource time) {
    this.doing = doing;
    this.time = time;
  }

  boolean due() {
    return !failing || time.nanos() - failedAt >= PAUSE.toNanos();
  }

  /** Returns what failed when it was last tried, and why; empty if it worked. */
  String failure() {
    return failure;
  }

  void worked() {
    if (failing) {
      LOG.info("publishing: {} works again", doing);
    }
    failing = false;
    failure = "";
  }

  void failed(JournalException e) {
    failedAt = time.nanos();
    if (!failing) {
      LOG.error(
          "publishing: {} failed: {}. Tried again every {} s; what is not noted as sent is sent again",
          doing,
          e.getMessage(),
          PAUSE.toSeconds());
    }
    failing = true;
    failure = "%s failed: %s".formatted(doing, e.getMessage());
  }
}
