package org.tallywire.scpi;

import java.util.List;
import org.tallywire.api.FaultCode;
import org.tallywire.api.Frame;
import org.tallywire.api.FrameException;

/**
 * The standard event status register, the answer of {@code *ESR?}, which clears it (IEEE
 * 488.2-1992, 11.5.1.1).
 *
 * @param bits 0 to 255
 */
record EventStatus(int bits) {

  private static final int POWER_ON = 128;

  /** Query, device dependent, execution and command error. */
  private static final int ERRORS = 4 + 8 + 16 + 32;

  private static final int MOST = 255;

  static EventStatus of(Frame frame) throws FrameException {
    List<Element> elements = Response.elements(frame.bytes());
    if (elements.size() == 1
        && elements.get(0) instanceof Element.Numeric numeric
        && numeric.text().matches("\\+?[0-9]{1,3}")
        && numeric.number().intValue() <= MOST) {
      return new EventStatus(numeric.number().intValue());
    }
    throw new FrameException(
        FaultCode.FRAME_SYNTAX, "to *ESR? it says a number from 0 to 255", frame.bytes());
  }

  boolean poweredOn() {
    return (bits & POWER_ON) != 0;
  }

  boolean errors() {
    return (bits & ERRORS) != 0;
  }
}
