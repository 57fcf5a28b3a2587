package org.tallywire.scpi;

import java.util.List;
import org.tallywire.api.FaultCode;
import org.tallywire.api.Frame;
import org.tallywire.api.FrameException;

/**
 * An entry of the error queue, the answer of {@code SYSTem:ERRor?} (SCPI-1999 volume 2, 21.8).
 *
 * @param number below 0 of the standard, above 0 the instrument's own, 0 if the queue is empty
 */
record InstrumentError(int number, String text) {

  private static final int STALE = -230;
  private static final int OVERFLOW = -350;

  static InstrumentError of(Frame frame) throws FrameException {
    List<Element> elements = Response.elements(frame.bytes());
    if (elements.size() == 2
        && elements.get(0) instanceof Element.Numeric numeric
        && numeric.text().matches("[+-]?[0-9]{1,5}")
        && elements.get(1) instanceof Element.Text text) {
      return new InstrumentError(numeric.number().intValueExact(), text.text());
    }
    throw new FrameException(
        FaultCode.FRAME_SYNTAX,
        "to SYST:ERR? it says a number and a text in quotes, as 0,\"No error\"",
        frame.bytes());
  }

  boolean none() {
    return number == 0;
  }

  /** Tells whether it only says that there is no valid reading at the moment. */
  boolean noReading() {
    return number == STALE;
  }

  String sentence() {
    String what = "the instrument reports error %d, %s".formatted(number, text);
    return number == OVERFLOW ? what + ": it had more errors than its queue holds" : what;
  }
}
