package org.tallywire.publish;

/** Hears how it stands with the broker; called on the publisher's thread and must return soon. */
public interface StateListener {

  /**
   * Tells the state at every change, and at every further attempt that failed.
   *
   * @param sentence what happened, with which broker, and what happens next
   * @param well whether nobody need do anything; also connected there may be something to do, since
   *     a certificate ends or consumers are not heard
   */
  void brokerState(BrokerState state, String sentence, boolean well);

  /** Tells how far the records have come; at most once a second, when it has changed. */
  default void standing(Standing standing) {}
}
