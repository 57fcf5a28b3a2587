package org.tallywire.api;

/**
 * Bytes for an instrument, declared by their effect; a {@link Effect#MEASURE} goes out only after a
 * person at the bench confirmed it there.
 *
 * @param bytes whole message with its terminator, not to be changed by anybody
 * @param effect what they make the instrument do
 * @param words what they mean, for logs and for the person who confirms
 */
@SuppressWarnings("ArrayRecordComponent") // commands are handed on, never compared
public record Command(byte[] bytes, Effect effect, String words) {

  /** What a command makes an instrument do. */
  public enum Effect {
    /** It only tells something. */
    QUERY,
    /** It may put a voltage or a current on its terminals. */
    MEASURE
  }
}
