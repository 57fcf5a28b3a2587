package org.tallywire.declared;

import java.io.ByteArrayOutputStream;
import java.util.Arrays;

/**
 * Where the check value of a line stands and what it covers.
 *
 * @param kind how it is computed
 * @param writing how it is written
 * @param behindEnd whether it comes behind the end of the line; else it is the last before it
 * @param mark what stands right before it, such as {@code *}; may be nothing
 * @param coversStart whether the start byte counts
 * @param coversMark whether the mark counts
 * @param coversEnd whether the end counts; only where the check value comes behind it
 * @param from the first byte of the text that counts, from 1
 */
@SuppressWarnings("ArrayRecordComponent") // never compared
record CheckRule(
    CheckKind kind,
    CheckWriting writing,
    boolean behindEnd,
    byte[] mark,
    boolean coversStart,
    boolean coversMark,
    boolean coversEnd,
    int from) {

  /** Returns the value of a line of these parts. */
  long of(byte[] start, byte[] text, byte[] end) {
    ByteArrayOutputStream covered = new ByteArrayOutputStream();
    if (coversStart) {
      covered.writeBytes(start);
    }
    covered.writeBytes(Arrays.copyOfRange(text, Math.min(from - 1, text.length), text.length));
    if (coversMark) {
      covered.writeBytes(mark);
    }
    if (coversEnd) {
      covered.writeBytes(end);
    }
    return kind.of(covered.toByteArray());
  }
}
