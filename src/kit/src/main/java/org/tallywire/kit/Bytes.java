package org.tallywire.kit;

import java.io.ByteArrayOutputStream;
import java.util.Arrays;
import java.util.List;
import org.tallywire.api.Example;

/** Bytes put together. */
final class Bytes {

  static final byte[] NONE = new byte[0];

  private static final byte[] LINE_END = {'\r', '\n'};

  private Bytes() {}

  static byte[] joined(List<byte[]> pieces) {
    ByteArrayOutputStream all = new ByteArrayOutputStream();
    pieces.forEach(all::writeBytes);
    return all.toByteArray();
  }

  /** Returns what an example's messages seem to end with: the control characters at its end. */
  static byte[] end(Example example) {
    for (Example.Turn turn : example.turns()) {
      byte[] answer = turn.answer();
      int from = answer.length;
      while (from > 0 && answer[from - 1] >= 0 && answer[from - 1] < ' ') {
        from--;
      }
      if (from > 0 && from < answer.length) {
        return Arrays.copyOfRange(answer, from, answer.length);
      }
    }
    return LINE_END;
  }
}
