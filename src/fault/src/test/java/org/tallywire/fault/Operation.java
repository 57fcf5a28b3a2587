package org.tallywire.fault;

import java.nio.charset.StandardCharsets;

/**
 * One operation on a file as the watcher traced it.
 *
 * @param kind what it was
 * @param failedClass for {@link Kind#FAILED} the class of operations, of {@link WatchControl}
 * @param path the file's absolute path
 * @param at where in the file, or its new length, or for {@link Kind#OPEN} 1 made, 2 emptied
 * @param length how many bytes
 * @param bytes the bytes; empty for {@link Kind#ZEROS}
 * @param nanos when, on the monotonic clock
 */
@SuppressWarnings("ArrayRecordComponent") // bytes are what it is about; they are not compared
record Operation(
    Kind kind, int failedClass, String path, long at, int length, byte[] bytes, long nanos) {

  /** The letters of the trace. */
  enum Kind {
    OPEN('O'),
    WRITE('W'),
    ZEROS('Z'),
    TRUNCATE('T'),
    SYNC('S'),
    SYNC_FOLDER('D'),
    UNLINK('U'),
    RENAME('R'),
    FOLDER('K'),
    MAP('M'),
    FAILED('F'),
    MARK('A'),
    TERMINAL('Y');

    private final char letter;

    Kind(char letter) {
      this.letter = letter;
    }

    static Kind of(char letter) {
      for (Kind kind : values()) {
        if (kind.letter == letter) {
          return kind;
        }
      }
      throw new IllegalArgumentException("no operation is traced as '" + letter + "'");
    }
  }

  String text() {
    return new String(bytes, StandardCharsets.UTF_8);
  }

  /** Returns the file's bytes that were written, also where they were zeros. */
  byte[] written() {
    return kind == Kind.ZEROS ? new byte[length] : bytes;
  }
}
