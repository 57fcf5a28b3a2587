package org.tallywire.declared;

import java.time.Duration;
import java.util.List;
import org.tallywire.api.Command;

/**
 * Something that is sent, and what is waited for then.
 *
 * @param parts of the bytes, in their order
 * @param effect what it makes the instrument do
 * @param answer when it is answered
 * @param lines how many lines answer it, where they are counted
 * @param within the time for the answer, and again for each further line
 * @param tries how often it is sent before the instrument is silent
 * @param pause after the answer in which nothing is sent
 * @param every the time from one sending to the next; not used at the start
 */
record Question(
    List<Part> parts,
    Command.Effect effect,
    Answer answer,
    int lines,
    Duration within,
    int tries,
    Duration pause,
    Duration every) {

  /** When a question is answered. */
  enum Answer {
    /** At once: nothing comes back. */
    NONE,
    /** After so many lines. */
    LINES,
    /** When a line gave a reading. */
    READING,
    /** When a line said who the instrument is. */
    IDENTITY,
    /** When a block of lines has ended. */
    BLOCK;

    /** Returns what is waited for, in words. */
    String inWords(int lines) {
      return switch (this) {
        case NONE -> "nothing";
        case LINES -> "%d lines that a rule knows".formatted(lines);
        case READING -> "a reading";
        case IDENTITY -> "who the instrument is";
        case BLOCK -> "a whole block";
      };
    }
  }

  /** A piece of what is sent. */
  sealed interface Part {

    /** Bytes as they are. */
    @SuppressWarnings("ArrayRecordComponent") // never compared
    record Fixed(byte[] bytes) implements Part {}

    /** The address of the instrument that is asked. */
    record Address() implements Part {}

    /** The check value over what stands before it. */
    record Check() implements Part {}
  }

  boolean isAddressed() {
    return parts.stream().anyMatch(Part.Address.class::isInstance);
  }
}
