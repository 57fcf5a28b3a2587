package org.tallywire.fault;

/**
 * Which file operations fail, and how.
 *
 * @param classes which kinds of operations count, of {@link WatchControl}
 * @param at the number of the operation that fails, from 1
 * @param forever whether all after it fail as well
 * @param error what they fail with
 * @param torn whether half of a write that fails is written
 */
record FileFault(int classes, long at, boolean forever, Errno error, boolean torn) {

  /** The errors of Linux's errno.h that a disk gives. */
  enum Errno {
    EINTR(4),
    EIO(5),
    ENOSPC(28);

    private final int number;

    Errno(int number) {
      this.number = number;
    }

    int number() {
      return number;
    }
  }

  /** How an operation fails, apart from which. */
  record Mode(int classes, boolean forever, Errno error, boolean torn) {

    FileFault at(long number) {
      return new FileFault(classes, number, forever, error, torn);
    }

    @Override
    public String toString() {
      return (classes == WatchControl.SYNC ? "syncs, " : "")
          + error
          + (torn ? " torn" : "")
          + (forever ? " for ever" : " once");
    }
  }

  @Override
  public String toString() {
    return "operation %d, %s".formatted(at, new Mode(classes, forever, error, torn));
  }
}
