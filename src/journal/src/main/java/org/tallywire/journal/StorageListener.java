package org.tallywire.journal;

/** Hears how it stands with the journal's disk; called on the writer's thread, returns soon. */
public interface StorageListener {

  /**
   * Tells the state at every change.
   *
   * @param sentence what happened, on which file, with which numbers, and what happens next
   */
  void storage(StorageState state, String sentence);
}
