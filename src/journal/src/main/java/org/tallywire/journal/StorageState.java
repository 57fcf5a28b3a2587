package org.tallywire.journal;

import java.util.Locale;

/** How it stands with the journal's disk. */
public enum StorageState {
  /** Everything that is appended becomes durable. */
  SOUND,
  /** There is no space: entries are refused, cursors still move on the reserve. */
  FULL,
  /** Writing fails for another reason. */
  FAILING;

  /** Returns the word in records and log lines. */
  public String word() {
    return name().toLowerCase(Locale.ROOT);
  }
}
