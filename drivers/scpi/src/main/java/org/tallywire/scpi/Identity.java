package org.tallywire.scpi;

import java.util.List;
import org.tallywire.api.FaultCode;
import org.tallywire.api.Frame;
import org.tallywire.api.FrameException;
import org.tallywire.api.Instrument;

/**
 * The answer of {@code *IDN?}: maker, model, serial number, firmware with commas between; 0 stands
 * for a serial number or firmware that it does not know (IEEE 488.2-1992, 10.14). The standard
 * allows no other comma; the rule for one that is there all the same: the first three fields are
 * what they should be, and the rest is the firmware.
 */
final class Identity {

  private static final int FIELDS = 4;
  private static final int SERIAL = 2;

  private Identity() {}

  /** Returns who it is; what it does not say is empty. */
  static Instrument of(Frame frame) throws FrameException {
    List<String> fields = List.of(frame.text().split(",", FIELDS));
    if (fields.size() < SERIAL) {
      throw new FrameException(
          FaultCode.FRAME_SYNTAX,
          "to *IDN? it says maker, model, serial number and firmware with commas between",
          frame.bytes());
    }
    try {
      return new Instrument(
          field(fields, 0), field(fields, 1), known(fields, SERIAL), known(fields, SERIAL + 1));
    } catch (IllegalArgumentException tooLong) {
      throw new FrameException(
          FaultCode.FRAME_SYNTAX, "the answer of *IDN?: " + tooLong.getMessage(), frame.bytes());
    }
  }

  private static String field(List<String> fields, int index) {
    return index < fields.size() ? fields.get(index).strip() : "";
  }

  private static String known(List<String> fields, int index) {
    String text = field(fields, index);
    return text.equals("0") ? "" : text;
  }
}
