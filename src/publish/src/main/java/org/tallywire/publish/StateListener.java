package org.tallywire.publish;

/** Hears how it stands with the broker; called on the publisher's thread and must return soon. */
public interface StateListener {

  /**
   * Tells the state at every change, and at every further attempt that failed.
   *
   * @param sentence what happened, with which broker, and what happens next
   */
  void brokerState(BrokerState state, String sentence);

  /** Tells how far the records have come; at most once a second, when it has changed. */
  default void standing(Standing standing) {}
}
