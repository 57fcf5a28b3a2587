package org.tallywire.publish;

import java.util.Map;

/**
 * How far the records have come, as positions of the journal; each word means what it says.
 *
 * @param journalled the last entry on this machine's disk
 * @param accepted the last entry up to which the broker has acknowledged everything, or it was
 *     shelved
 * @param confirmed by consumer: the last entry up to which it says that it holds everything
 * @param shelved how many entries lie on the shelf because the broker does not take them
 */
public record Standing(long journalled, long accepted, Map<String, Long> confirmed, long shelved) {

  public Standing {
    confirmed = Map.copyOf(confirmed);
  }
}
