package org.tallywire.simulator.face;

import java.util.Optional;
import org.tallywire.simulator.face.ScpiError.Fault;

/** What comes of a program message unit. */
sealed interface ScpiAnswer {

  /** A command has been carried out. */
  ScpiAnswer NOTHING = new Nothing();

  /** A query's answer that carries no reading. */
  static ScpiAnswer text(String text) {
    return new Said(text, 0);
  }

  /** A query's answer that is an NR1. */
  static ScpiAnswer number(long number) {
    return text(Long.toString(number));
  }

  /** There is no answer. */
  record Nothing() implements ScpiAnswer {}

  /**
   * An answer.
   *
   * @param text one or more response data with commas between
   * @param seq number of the reading it carries, 0 if none
   */
  record Said(String text, long seq) implements ScpiAnswer {}

  /** What comes of it is not known before the measurement under way has ended. */
  record Later(Poll poll) implements ScpiAnswer {}

  /** Asked again as long as it has nothing. */
  @FunctionalInterface
  interface Poll {
    Optional<ScpiAnswer> now() throws Fault;
  }
}
