package org.tallywire.journal;

import java.nio.file.Path;
import java.sql.SQLException;
import java.util.Optional;
import org.jspecify.annotations.Nullable;
import org.sqlite.SQLiteErrorCode;
import org.sqlite.SQLiteException;

/** The journal could not do what was asked; the message says what, on which file, what to do. */
public final class JournalException extends Exception {

  private static final long ALMOST_NOTHING = 1L << 20;

  private final boolean full;
  private final @Nullable String damage;

  JournalException(String message, @Nullable Throwable cause) {
    this(message, cause, false, null);
  }

  private JournalException(
      String message, @Nullable Throwable cause, boolean full, @Nullable String damage) {
    super(message, cause);
    this.full = full;
    this.damage = damage;
  }

  /** Makes one for something in the file that is not as it was written. */
  static JournalException damaged(Path file, String found) {
    return new JournalException(
        "the journal is damaged, file %s: %s. Nothing of it was returned or changed. Keep a copy of the whole folder, then restore a backup"
            .formatted(file, found),
        null,
        false,
        found);
  }

  /** Makes one for a request that cannot be met, whatever the disk does. */
  static JournalException refused(String why) {
    return new JournalException(why, null);
  }

  /** Makes one for an entry that retention removed while a reader was on its way to it. */
  public static JournalException removedMeanwhile(long position) {
    return refused(
        "entry %d and perhaps others behind it were removed while they were to be read, being older than keep-days; begin again with what is left"
            .formatted(position));
  }

  /** Makes one for a write that found no space. */
  static JournalException full(String message, @Nullable Throwable cause) {
    return new JournalException(message, cause, true, null);
  }

  /** Makes one for a write that failed; {@code doing} completes "could not ...". */
  static JournalException writing(String doing, Path file, Throwable cause) {
    return from(
        doing,
        file,
        cause,
        "nothing of it is kept unless a repeat says otherwise, and a repeat with the same ids doubles"
            + " nothing. If it fails again, check the disk and the rights on that file");
  }

  /** Makes one for a read, or an opening, that failed. */
  static JournalException reading(String doing, Path file, Throwable cause) {
    return from(
        doing, file, cause, "nothing was changed. Check the disk and the rights on that file");
  }

  private static JournalException from(String doing, Path file, Throwable cause, String advice) {
    if (cause instanceof JournalException known) {
      return new JournalException(
          "could not %s: %s".formatted(doing, known.getMessage()), known, known.full, known.damage);
    }
    boolean full = isFull(file, cause);
    return new JournalException(
        "could not %s, file %s: %s: %s"
            .formatted(
                doing,
                file,
                cause.getMessage(),
                full
                    ? "there is no space left for it. Free space on its disk, then repeat"
                    : advice),
        cause,
        full,
        null);
  }

  /** Returns whether the disk, or the space allowed to the journal, is used up. */
  public boolean full() {
    return full;
  }

  /** Returns what in the file is not as it was written, if that is why. */
  Optional<String> damage() {
    return Optional.ofNullable(damage);
  }

  /** Returns whether this failure of SQLite means that there was no space. */
  static boolean isFull(Path file, Throwable cause) {
    if (!(cause instanceof SQLException sql)) {
      return false;
    }
    int primary = sql.getErrorCode() & 0xFF;
    if (cause instanceof SQLiteException known) {
      primary = known.getResultCode().code & 0xFF;
    }
    // a full disk shows as an I/O error when it was the shared-memory file that could not grow
    return primary == SQLiteErrorCode.SQLITE_FULL.code
        || (primary == SQLiteErrorCode.SQLITE_IOERR.code
            && file.toFile().getUsableSpace() < ALMOST_NOTHING);
  }
}
