package org.tallywire.declared;

import java.nio.ByteBuffer;
import java.nio.charset.CharacterCodingException;
import java.nio.charset.Charset;
import java.nio.charset.StandardCharsets;
import java.time.Duration;
import java.util.Arrays;
import java.util.Optional;
import org.tallywire.api.FaultCode;
import org.tallywire.api.FrameException;

/**
 * How the lines of a meter are cut and what makes one whole. A frame is a line from its start byte
 * on, without its end; where a check value comes behind the end, end and check value are in it.
 *
 * @param start the byte that begins a line; empty if none does
 * @param end the bytes that end it; empty: CR, LF or both
 * @param check its check value, if it has one
 * @param longest bytes of a frame at most
 * @param pause without a byte, within a line, after which the line is given up
 * @param characters its character set
 */
@SuppressWarnings("ArrayRecordComponent") // never compared
record LineShape(
    byte[] start,
    byte[] end,
    Optional<CheckRule> check,
    int longest,
    Duration pause,
    Characters characters) {

  private static final int SHOWN = 256;

  /** Character sets. */
  enum Characters {
    ASCII("ascii", StandardCharsets.US_ASCII),
    LATIN_1("latin-1", StandardCharsets.ISO_8859_1),
    UTF_8("utf-8", StandardCharsets.UTF_8);

    private final String word;
    private final Charset charset;

    Characters(String word, Charset charset) {
      this.word = word;
      this.charset = charset;
    }

    String word() {
      return word;
    }
  }

  boolean hasStart() {
    return start.length > 0;
  }

  /** Tells whether CR and LF, in any mix, end a line. */
  boolean endsAnyhow() {
    return end.length == 0;
  }

  /** Tells whether CR or LF is in the end of a line, so that neither can be inside one. */
  boolean endsWithLineEnd() {
    return endsAnyhow() || contains(end, '\r') || contains(end, '\n');
  }

  /** Returns how many bytes of check value come behind the end. */
  int tail() {
    return check.filter(CheckRule::behindEnd).map(c -> c.writing().digits()).orElse(0);
  }

  /** Returns what is wrong with a whole frame, if something is. */
  Optional<FrameException> damage(byte[] frame) {
    if (frame.length > longest) {
      return fault(
          FaultCode.FRAME_TOO_LONG,
          "a line of %d bytes, longer than %d, was discarded".formatted(frame.length, longest),
          frame);
    }
    byte[] text = textBytes(frame);
    for (byte b : text) {
      int value = b & 0xFF;
      boolean control = value == 0x7F || (value < ' ' && value != '\t');
      if (control || (value > 0x7F && characters == Characters.ASCII)) {
        return fault(
            FaultCode.FRAME_NOISE,
            "a line with the byte %02X, which is no %s character, was discarded"
                .formatted(value, characters.word()),
            frame);
      }
    }
    try {
      characters.charset.newDecoder().decode(ByteBuffer.wrap(text));
    } catch (CharacterCodingException e) {
      return fault(FaultCode.FRAME_NOISE, "a line that is not UTF-8 was discarded", frame);
    }
    return check.flatMap(rule -> checked(rule, frame));
  }

  private Optional<FrameException> checked(CheckRule rule, byte[] frame) {
    int digits = rule.writing().digits();
    int textTo = textTo(frame);
    byte[] mark = rule.mark();
    boolean there =
        textTo >= start.length
            && (rule.behindEnd()
                || Arrays.equals(frame, textTo, textTo + mark.length, mark, 0, mark.length));
    if (!there) {
      return fault(FaultCode.FRAME_CHECK, "a line without its check value was discarded", frame);
    }
    byte[] sent = Arrays.copyOfRange(frame, frame.length - digits, frame.length);
    return rule.writing()
        .wrong(sent, rule.of(start, textBytes(frame), end))
        .flatMap(
            wrong ->
                fault(
                    FaultCode.FRAME_CHECK,
                    "a damaged line was discarded: %s as its check value".formatted(wrong),
                    frame));
  }

  /** Returns the text of a frame, without start byte, check value and what goes with it. */
  String text(byte[] frame) {
    return new String(textBytes(frame), characters.charset);
  }

  private byte[] textBytes(byte[] frame) {
    int from = Math.min(start.length, frame.length);
    return Arrays.copyOfRange(frame, from, Math.max(from, textTo(frame)));
  }

  /** Returns where the text ends; before its beginning if the line is too short. */
  private int textTo(byte[] frame) {
    return check
        .map(
            c ->
                frame.length
                    - c.writing().digits()
                    - (c.behindEnd() ? end.length : c.mark().length))
        .orElse(frame.length);
  }

  private static Optional<FrameException> fault(FaultCode code, String what, byte[] frame) {
    return Optional.of(
        new FrameException(code, what, Arrays.copyOf(frame, Math.min(frame.length, SHOWN))));
  }

  private static boolean contains(byte[] bytes, char c) {
    return new String(bytes, StandardCharsets.ISO_8859_1).indexOf(c) >= 0;
  }
}
