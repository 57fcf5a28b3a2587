package org.tallywire.format;

import java.io.ByteArrayOutputStream;
import java.io.IOException;
import java.io.InputStream;
import java.util.Optional;

/**
 * Records from a stream, one JSON object a line; a line that is none is told and passed over. Lines
 * of white space alone count as lines and hold nothing. Used by one thread.
 */
public final class RecordLines {

  /** The longest line that is read, in bytes; a record is never longer. */
  public static final int LONGEST = 1024 * 1024;

  private static final int BUFFER = 64 * 1024;

  /** Hears of lines that are no record. */
  public interface Refusal {
    /** A line was passed over, and why. */
    void refused(long line, String reason);
  }

  private final InputStream in;
  private final Refusal refusal;
  private final byte[] buffer = new byte[BUFFER];
  private int from;
  private int to;
  private long line;
  private long refused;

  /** Reads from a stream, which stays the caller's to close. */
  public RecordLines(InputStream in, Refusal refusal) {
    this.in = in;
    this.refusal = refusal;
  }

  /** Returns the next record, or nothing at the end. */
  public Optional<AnyRecord> next() throws IOException {
    while (ready()) {
      line++;
      ByteArrayOutputStream bytes = new ByteArrayOutputStream(1024);
      long length = take(bytes);
      if (length > LONGEST) {
        refuse("a line of %d bytes; a record has at most %d".formatted(length, LONGEST));
        continue;
      }
      byte[] json = line == 1 ? withoutMark(bytes.toByteArray()) : bytes.toByteArray();
      if (blank(json)) {
        continue;
      }
      try {
        return Optional.of(AnyRecord.of(json));
      } catch (FormatException e) {
        refuse(String.valueOf(e.getMessage()));
      }
    }
    return Optional.empty();
  }

  /** Tells whether the next record can only be had by reading from the stream, which may wait. */
  public boolean drained() {
    return from == to;
  }

  /** Returns the number of the line read last, from 1. */
  public long line() {
    return line;
  }

  /** Returns how many lines were passed over. */
  public long refused() {
    return refused;
  }

  /** Refuses the line read last, whose record turned out not to be one. */
  public void refuse(String reason) {
    refused++;
    refusal.refused(line, reason);
  }

  private boolean ready() throws IOException {
    if (from == to) {
      from = 0;
      to = Math.max(0, in.read(buffer, 0, BUFFER));
    }
    return from < to;
  }

  /** Takes the bytes up to the end of the line, no more than can be a record; returns how many. */
  private long take(ByteArrayOutputStream bytes) throws IOException {
    long length = 0;
    while (ready()) {
      int end = from;
      while (end < to && buffer[end] != '\n') {
        end++;
      }
      length += end - from;
      if (length <= LONGEST) {
        bytes.write(buffer, from, end - from);
      }
      boolean whole = end < to;
      from = whole ? end + 1 : end;
      if (whole) {
        break;
      }
    }
    return length;
  }

  /** Some programs begin a text with a byte order mark; it is no part of the record. */
  private static byte[] withoutMark(byte[] bytes) {
    boolean marked =
        bytes.length >= 3
            && bytes[0] == (byte) 0xEF
            && bytes[1] == (byte) 0xBB
            && bytes[2] == (byte) 0xBF;
    return marked ? java.util.Arrays.copyOfRange(bytes, 3, bytes.length) : bytes;
  }

  private static boolean blank(byte[] bytes) {
    for (byte b : bytes) {
      if (b != ' ' && b != '\t' && b != '\r') {
        return false;
      }
    }
    return true;
  }
}
