package org.tallywire.scpi;

import java.math.BigDecimal;
import org.tallywire.api.Value;

/** One response data element: IEEE 488.2-1992, 8.7. */
sealed interface Element {

  /**
   * An NR1, NR2 or NR3 that is a number.
   *
   * @param text as it was sent
   * @param number exact, with the digits that were sent
   */
  record Numeric(String text, BigDecimal number) implements Element {}

  /** An NR3 that stands for none: SCPI-1999 volume 1, 7.2.1.4 and 7.2.1.5. */
  record NoNumber(Value.Reason reason) implements Element {}

  /** String response data, without its quotes. */
  record Text(String text) implements Element {}

  /** Character response data, and whatever else is neither quoted nor a decimal number. */
  record Word(String text) implements Element {}

  /** Definite length arbitrary block response data, without its head. */
  @SuppressWarnings("ArrayRecordComponent") // read once, never compared
  record Block(byte[] bytes) implements Element {}
}
