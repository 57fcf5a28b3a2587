package org.tallywire.api;

import java.util.List;
import java.util.Map;
import java.util.Optional;

/**
 * What an instrument sends and what its driver makes of it: documentation that can be played.
 *
 * @param name a few words
 * @param turns from the opening of the link on, in order; at least one
 * @param gives the readings that come of it, in order
 * @param fault what is wrong with it, if it is an example of what goes wrong
 */
public record Example(
    String name, List<Turn> turns, List<Expected> gives, Optional<FaultCode> fault) {

  public Example {
    turns = List.copyOf(turns);
    gives = List.copyOf(gives);
    if (turns.isEmpty()) {
      throw new IllegalArgumentException("the example \"%s\" has no turn".formatted(name));
    }
  }

  /**
   * What the instrument sends, and what it was sent before.
   *
   * @param asked what the driver sends first, whole; empty if the instrument talks by itself
   * @param answer what the instrument sends then, terminators included
   */
  @SuppressWarnings("ArrayRecordComponent") // played, never compared
  public record Turn(byte[] asked, byte[] answer) {}

  /**
   * What is expected of a reading; its instrument, number and times are not compared, and the
   * factor of a value only where the expected one has a factor.
   *
   * @param labels all of them
   * @param values all of them, in order
   */
  public record Expected(Map<String, String> labels, List<Value> values, Reading.Status status) {

    /** Tells whether a reading is as expected. */
    public boolean matches(Reading reading) {
      return labels.equals(reading.labels())
          && same(reading.values())
          && status == reading.status();
    }

    private boolean same(List<Value> given) {
      boolean same = values.size() == given.size();
      for (int i = 0; same && i < values.size(); i++) {
        same = values.get(i).equals(given.get(i)) || values.get(i).equals(bare(given.get(i)));
      }
      return same;
    }

    private static Value bare(Value value) {
      return value instanceof Value.Measured measured
          ? new Value.Measured(measured.quantity(), measured.number(), measured.unit())
          : value;
    }
  }
}
