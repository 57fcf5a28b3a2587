package org.tallywire.publish;

import java.time.Duration;
import org.jspecify.annotations.Nullable;
import org.slf4j.Logger;
import org.slf4j.LoggerFactory;
import org.tallywire.api.TimeSource;
import org.tallywire.journal.Journal;

/** Tells how far the records have come, at most once a second, when it has changed. */
final class Standings {

  /** The shortest time between two. */
  static final Duration EVERY = Duration.ofSeconds(1);

  private static final Logger LOG = LoggerFactory.getLogger(Standings.class);

  private final Journal journal;
  private final Progress progress;
  private final Confirmations confirmations;
  private final StateListener listener;
  private final TimeSource time;
  private @Nullable Standing told;
  private long toldAt;

  Standings(
      Journal journal,
      Progress progress,
      Confirmations confirmations,
      StateListener listener,
      TimeSource time) {
    this.journal = journal;
    this.progress = progress;
    this.confirmations = confirmations;
    this.listener = listener;
    this.time = time;
  }

  /** Returns how it stands now; from any thread. */
  Standing now() {
    // what came later is read first, so that no record looks further than it is
    var confirmed = confirmations.confirmed();
    long shelved = progress.shelved.get();
    long accepted = progress.delivered();
    return new Standing(journal.head(), accepted, confirmed, shelved);
  }

  /** Tells the listener if it is time and there is news; on the publisher's thread. */
  void tellIfDue() {
    long now = time.nanos();
    if (told != null && now - toldAt < EVERY.toNanos()) {
      return;
    }
    Standing standing = now();
    if (standing.equals(told)) {
      return;
    }
    told = standing;
    toldAt = now;
    try {
      listener.standing(standing);
    } catch (RuntimeException e) {
      LOG.error("a listener failed to take how far the records have come", e);
    }
  }
}
