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
   * What is expected of a reading; its instrument and times are not compared, and the factor of a
   * value only where the expected one has a factor.
   *
   * @param labels all of them
   * @param values all of them, in order
   * @param place among the instrument's readings, where that is said
   */
  public record Expected(
      Map<String, String> labels,
      List<Value> values,
      Reading.Status status,
      Optional<Place> place) {

    /** A reading whose place nothing is said of. */
    public Expected(Map<String, String> labels, List<Value> values, Reading.Status status) {
      this(labels, values, status, Optional.empty());
    }

    /** Tells whether a reading is as expected, its place apart. */
    public boolean matches(Reading reading) {
      return labels.equals(reading.labels())
          && same(reading.values())
          && status == reading.status();
    }

    private boolean same(List<Value> given) {
      boolean same = values.size() == given.size();
      for (int i = 0; same && i < values.size(); i++) {
        same = same(values.get(i), given.get(i));
      }
      return same;
    }

    /** Tells whether a value is as expected. */
    public static boolean same(Value expected, Value given) {
      return expected.equals(given) || expected.equals(bare(given));
    }

    private static Value bare(Value value) {
      return value instanceof Value.Measured measured
          ? new Value.Measured(measured.quantity(), measured.number(), measured.unit())
          : value;
    }
  }

  /**
   * The place of a reading among those of its instrument, as it is where an example is played by
   * itself from the opening of the link on.
   *
   * @param number its sequence number, if that is said
   * @param missing first and last of the numbers that are declared missing before it; none if empty
   * @param restart whether it begins another epoch than the reading before it
   */
  public record Place(Optional<Long> number, List<Long> missing, boolean restart) {

    public Place {
      missing = List.copyOf(missing);
      if (!missing.isEmpty() && missing.size() != 2) {
        throw new IllegalArgumentException("what is missing is a first and a last number");
      }
    }
  }
}
