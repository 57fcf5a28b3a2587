package org.tallywire.journal;

import java.nio.file.Path;
import java.sql.SQLException;
import org.jspecify.annotations.Nullable;
import org.sqlite.SQLiteErrorCode;
import org.sqlite.SQLiteException;

/** The journal could not do what was asked; the message says what, on which file, what to do. */
public final class JournalException extends Exception {

  private static final long ALMOST_NOTHING = 1L << 20;

  private final boolean full;

  JournalException(String message, @Nullable Throwable cause) {
    this(message, cause, false);
  }

  private JournalException(String message, @Nullable Throwable cause, boolean full) {
    super(message, cause);
    this.full = full;
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
        full);
  }

  /** Returns whether the disk, or the space allowed to the journal, is used up. */
  public boolean full() {
    return full;
  }

  private static boolean isFull(Path file, Throwable cause) {
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
