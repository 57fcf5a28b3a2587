package org.tallywire.api;

import java.util.List;
import java.util.Map;

/**
 * An instrument language: describes itself, cuts its frames, opens conversations. Stateless and
 * safe for use by many threads.
 */
public interface Driver {

  /** Returns what it is and what it can do. */
  DriverDescription description();

  /** Returns a new framer for one link. */
  Framer newFramer();

  /** Opens a conversation over a link that was just opened; nothing is sent before its start. */
  Session open(SessionHost host);

  /**
   * Returns the driver with a station's settings. Called only if the description has some.
   *
   * @param settings all of {@link DriverDescription#settings}, those that the station does not set
   *     with their usual value
   * @throws IllegalArgumentException with a sentence that says which setting cannot be so, and why
   */
  default Driver configured(Map<String, String> settings) {
    return this;
  }

  /**
   * Returns what its instruments send and what it makes of that, for people and for the kit, which
   * plays them.
   */
  default List<Example> examples() {
    return List.of();
  }
}
