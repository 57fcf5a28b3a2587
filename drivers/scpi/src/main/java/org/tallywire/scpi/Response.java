package org.tallywire.scpi;

import java.nio.charset.StandardCharsets;
import java.util.ArrayList;
import java.util.Arrays;
import java.util.List;
import java.util.Optional;
import org.tallywire.api.FaultCode;
import org.tallywire.api.FrameException;

/**
 * Cuts a response message into its elements: units with {@code ;} between, elements with {@code ,}
 * between (IEEE 488.2-1992, 8.3 and 8.4). Blanks around an element are passed over. Knows nothing
 * of what an element means.
 */
final class Response {

  private static final int MOST_ELEMENTS = 65_536;
  private static final int SHOWN = 200;

  private final byte[] bytes;
  private int at;

  private Response(byte[] bytes) {
    this.bytes = bytes;
  }

  /** Returns the elements of all units, in order. */
  static List<Element> elements(byte[] message) throws FrameException {
    return new Response(message).all();
  }

  private List<Element> all() throws FrameException {
    List<Element> elements = new ArrayList<>();
    while (true) {
      elements.add(next());
      passBlanks();
      if (at == bytes.length) {
        return elements;
      }
      if (bytes[at] != ',' && bytes[at] != ';') {
        throw syntax("after an element comes a comma, a semicolon or the end");
      }
      at++;
      if (elements.size() == MOST_ELEMENTS) {
        throw syntax("more than %d elements".formatted(MOST_ELEMENTS));
      }
    }
  }

  private Element next() throws FrameException {
    passBlanks();
    if (at < bytes.length && bytes[at] == '"') {
      return string();
    }
    Optional<Block> block = Block.at(bytes, at, bytes.length);
    if (block.isPresent()) {
      int from = block.get().from();
      int to = block.get().to();
      if (to > bytes.length) {
        throw syntax(
            "a block of %d bytes, of which %d came".formatted(to - from, bytes.length - from));
      }
      at = to;
      return new Element.Block(Arrays.copyOfRange(bytes, from, to));
    }
    return plain();
  }

  /** A quote inside stands twice (8.7.8). */
  private Element string() throws FrameException {
    StringBuilder text = new StringBuilder();
    at++;
    while (at < bytes.length) {
      char c = (char) (bytes[at++] & 0xFF);
      if (c != '"') {
        text.append(c);
      } else if (at < bytes.length && bytes[at] == '"') {
        text.append('"');
        at++;
      } else {
        return new Element.Text(text.toString());
      }
    }
    throw syntax("a string without its closing quote");
  }

  private Element plain() throws FrameException {
    int from = at;
    while (at < bytes.length && bytes[at] != ',' && bytes[at] != ';') {
      if (bytes[at] == '"') {
        throw syntax("a quote inside an element that is no string");
      }
      at++;
    }
    String text = new String(bytes, from, at - from, StandardCharsets.ISO_8859_1).strip();
    if (text.isEmpty()) {
      throw syntax("an empty element");
    }
    return ResponseNumber.parse(text).orElseGet(() -> new Element.Word(text));
  }

  private void passBlanks() {
    while (at < bytes.length && (bytes[at] == ' ' || bytes[at] == '\t')) {
      at++;
    }
  }

  private FrameException syntax(String what) {
    return new FrameException(
        FaultCode.FRAME_SYNTAX,
        "no response message of IEEE 488.2: %s, at byte %d".formatted(what, at + 1),
        Arrays.copyOf(bytes, Math.min(SHOWN, bytes.length)));
  }

  /**
   * The head of a block and where its content lies.
   *
   * @param from first byte of the content
   * @param to first byte behind it
   */
  record Block(int from, int to) {

    /**
     * Returns the definite length block (8.7.9) whose head begins there, if one does and its head
     * is whole: {@code #}, how many digits, and the length in as many.
     *
     * @param end where the bytes that have come end
     */
    static Optional<Block> at(byte[] bytes, int start, int end) {
      if (start + 1 >= end || bytes[start] != '#') {
        return Optional.empty();
      }
      int digits = bytes[start + 1] - '0';
      if (digits < 1 || digits > 9 || start + 2 + digits > end) {
        return Optional.empty();
      }
      long length = 0;
      for (int i = start + 2; i < start + 2 + digits; i++) {
        if (bytes[i] < '0' || bytes[i] > '9') {
          return Optional.empty();
        }
        length = length * 10 + (bytes[i] - '0');
      }
      int from = start + 2 + digits;
      return Optional.of(new Block(from, (int) Math.min(Integer.MAX_VALUE, from + length)));
    }
  }
}
