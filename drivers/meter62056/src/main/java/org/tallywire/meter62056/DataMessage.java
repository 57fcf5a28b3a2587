package org.tallywire.meter62056;

import java.nio.charset.StandardCharsets;
import java.util.ArrayList;
import java.util.Arrays;
import java.util.List;
import java.util.Optional;
import org.tallywire.api.FaultCode;
import org.tallywire.api.FrameException;

/**
 * Reads a data message: STX, lines of data sets, {@code !} CR LF ETX and the check character. A
 * data set is {@code address(value*unit)}; further values in brackets belong to the same address.
 */
final class DataMessage {

  private static final String END = "!\r\n\u0003";
  private static final int LONGEST_ADDRESS = 16;
  private static final int LONGEST_VALUE = 128;
  private static final int LONGEST_UNIT = 16;
  private static final int SHOWN = 200;

  private final byte[] frame;
  private final List<Register> registers = new ArrayList<>();

  private DataMessage(byte[] frame) {
    this.frame = frame;
  }

  /** Returns the registers of an undamaged message, in order. */
  static List<Register> registers(byte[] frame) throws FrameException {
    return new DataMessage(frame).all();
  }

  private List<Register> all() throws FrameException {
    String text = new String(frame, 1, frame.length - 2, StandardCharsets.ISO_8859_1);
    if (!text.endsWith(END)) {
      throw syntax("it does not end with !, CR, LF and ETX");
    }
    String lines = text.substring(0, text.length() - END.length());
    while (!lines.isEmpty()) {
      int end = lines.indexOf("\r\n");
      if (end < 0) {
        throw syntax("its last line does not end with CR and LF");
      }
      line(lines.substring(0, end));
      lines = lines.substring(end + 2);
    }
    return registers;
  }

  private void line(String line) throws FrameException {
    Optional<Code> code = Optional.empty();
    int at = 0;
    while (at < line.length()) {
      int open = line.indexOf('(', at);
      int close = line.indexOf(')', at);
      if (open < 0 || close < open) {
        throw syntax("\"%s\" is no address(value*unit)".formatted(line));
      }
      String address = line.substring(at, open);
      if (!address.isEmpty()) {
        code = Optional.of(Code.of(address));
      }
      if (code.isEmpty() || !plain(address, LONGEST_ADDRESS)) {
        throw syntax(
            "\"%s\" has no address of 1 to %d characters".formatted(line, LONGEST_ADDRESS));
      }
      registers.add(register(code.get(), line.substring(open + 1, close)));
      at = close + 1;
    }
  }

  private Register register(Code code, String content) throws FrameException {
    int star = content.indexOf('*');
    String value = star < 0 ? content : content.substring(0, star);
    String unit = star < 0 ? "" : content.substring(star + 1);
    if (!plain(value, LONGEST_VALUE) || !plain(unit, LONGEST_UNIT) || unit.indexOf('*') >= 0) {
      throw syntax("\"%s\" is no value*unit".formatted(content));
    }
    return new Register(code, value, unit);
  }

  private static boolean plain(String text, int longest) {
    return text.length() <= longest
        && text.chars().allMatch(c -> c >= ' ' && c <= '~' && "()/!".indexOf(c) < 0);
  }

  private FrameException syntax(String words) {
    return new FrameException(
        FaultCode.FRAME_SYNTAX,
        "an undamaged message that is no data message: " + words,
        Arrays.copyOf(frame, Math.min(SHOWN, frame.length)));
  }
}
