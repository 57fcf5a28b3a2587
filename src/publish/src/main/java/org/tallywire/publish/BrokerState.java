package org.tallywire.publish;

/** How it stands between us and the broker. */
public enum BrokerState {
  /** Trying for the first time, or at once after a loss. */
  CONNECTING,
  /** Connected; records are on their way. */
  CONNECTED,
  /** Not reachable; tried again by itself, with a growing pause. */
  UNREACHABLE,
  /** Reachable, but it will not have us; somebody must change a setting. */
  REFUSED
}
