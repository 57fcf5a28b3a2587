package org.tallywire.api;

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
}
