package org.tallywire.journal;

import java.nio.file.Path;
import org.slf4j.Logger;
import org.slf4j.LoggerFactory;

/**
 * How it stands with the disk: decides whether entries are taken, gives the reserve up and makes it
 * again, and tells the log and one listener of every change. Used by the writer's thread.
 */
final class Storage {

  private static final Logger LOG = LoggerFactory.getLogger(Storage.class);
  private static final long MIB = 1L << 20;

  private final Path file;
  private final Reserve reserve;
  private final StorageListener listener;

  private StorageState state = StorageState.SOUND;

  Storage(Path file, Reserve reserve, StorageListener listener) {
    this.file = file;
    this.reserve = reserve;
    this.listener = listener;
  }

  /** Makes the reserve, before anything is written. */
  void start() {
    if (!reserve.make()) {
      becomeFull();
    }
  }

  boolean full() {
    return state == StorageState.FULL;
  }

  /** Returns whether entries can be taken now; looks at the disk. */
  boolean takesEntries() {
    if (state == StorageState.FULL) {
      look();
    } else if (reserve.usable() < reserve.low()) {
      becomeFull();
    }
    return state != StorageState.FULL;
  }

  /** Looks whether a full disk has space again. */
  void look() {
    if (state == StorageState.FULL && reserve.make()) {
      tell(
          StorageState.SOUND,
          "there is space again for the journal, file %s: %s usable; the reserve is made and entries are taken"
              .formatted(file, mib(reserve.usable())));
    }
  }

  /** Hears that a write was committed. */
  void worked() {
    if (state == StorageState.FAILING) {
      tell(StorageState.SOUND, "writing the journal works again, file %s".formatted(file));
    }
  }

  /** Hears that one failed; returns what its waiters are told. */
  Throwable failed(Throwable cause) {
    if (JournalException.isFull(file, cause)) {
      String message = "there was no space for it, file %s: %s".formatted(file, cause.getMessage());
      becomeFull();
      return JournalException.full(message + "; free space on its disk, then repeat", cause);
    }
    if (state == StorageState.SOUND) {
      tell(
          StorageState.FAILING,
          "writing the journal failed, file %s: %s. Nothing is acknowledged until it works again; check the disk and the rights on that file"
              .formatted(file, cause.getMessage()));
    }
    return cause;
  }

  /** Makes what an entry is refused with. */
  JournalException refusal() {
    return JournalException.full(
        "the disk is full, file %s: %s usable, entries are taken again from %s; free space on its disk, then repeat"
            .formatted(file, mib(reserve.usable()), mib(reserve.enough())),
        null);
  }

  private void becomeFull() {
    long found = reserve.usable();
    boolean released = reserve.release();
    if (state != StorageState.FULL) {
      tell(
          StorageState.FULL,
          "no space for entries of the journal, file %s: %s usable; %s, entries are refused, cursors still move. It goes on by itself from %s"
              .formatted(
                  file,
                  mib(found),
                  released ? "the reserve was given up" : "there was no reserve",
                  mib(reserve.enough())));
    }
  }

  private static String mib(long bytes) {
    return "%d.%d MiB".formatted(bytes / MIB, bytes % MIB * 10 / MIB);
  }

  private void tell(StorageState now, String sentence) {
    state = now;
    if (now == StorageState.SOUND) {
      LOG.info("{}", sentence);
    } else {
      LOG.warn("{}", sentence);
    }
    try {
      listener.storage(now, sentence);
    } catch (RuntimeException e) {
      LOG.error("the listener failed at \"{}\"", sentence, e);
    }
  }
}
