package org.tallywire.publish;

/** What else is done on a connection while records go out; on the delivery's thread. */
interface Attendant {

  /** Begins with a connection that has just come up. */
  void connected(MqttLink link) throws BrokerException;

  /**
   * Returns whether something of its own is still unanswered, so that it may be why a loss came.
   */
  boolean busy(MqttLink link);

  /**
   * Does what is due, and returns soon.
   *
   * @param accepted the position up to which everything is acknowledged and noted
   * @param told the position up to which tallies were sent
   */
  void round(MqttLink link, long accepted, long told);
}
