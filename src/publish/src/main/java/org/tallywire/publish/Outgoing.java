package org.tallywire.publish;

/**
 * A message to the broker, QoS 1.
 *
 * @param position the entry it carries, the last one a tally tells of, 0 otherwise
 */
@SuppressWarnings("ArrayRecordComponent") // bytes are what it is about; nobody changes them
record Outgoing(Kind kind, long position, String topic, byte[] payload, boolean retained) {

  /** What a message is for. */
  enum Kind {
    /** The present state of a station, retained. */
    STATE,
    /** An entry of the journal. */
    ENTRY,
    /** What consumers should have received up to a position. */
    TALLY,
    /** One that proves that the broker takes messages on this connection. */
    PROBE
  }

  /** Returns whether it is the same message, or the next version of the same state. */
  boolean same(Outgoing other) {
    return kind == other.kind && position == other.position && topic.equals(other.topic);
  }

  @Override
  public String toString() {
    String what =
        switch (kind) {
          case STATE -> "the state";
          case ENTRY -> "the record at journal position " + position;
          case TALLY -> "the tally up to journal position " + position;
          case PROBE -> "a probe";
        };
    return "%s (%d bytes, topic \"%s\")".formatted(what, payload.length, topic);
  }
}
