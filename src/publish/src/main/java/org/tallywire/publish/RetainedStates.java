package org.tallywire.publish;

import java.util.Iterator;
import java.util.LinkedHashMap;
import java.util.LinkedHashSet;
import java.util.Map;
import java.util.Set;
import org.jspecify.annotations.Nullable;

/**
 * The latest state of each station, and which of them the broker does not have yet. Thread-safe.
 */
final class RetainedStates {

  /** A state to be sent. */
  static final class State {
    final String topic;
    final byte[] payload;

    private State(String topic, byte[] payload) {
      this.topic = topic;
      this.payload = payload;
    }
  }

  private final Map<String, State> latest = new LinkedHashMap<>();
  private final Set<String> unsent = new LinkedHashSet<>();

  synchronized void put(String topic, byte[] payload) {
    latest.put(topic, new State(topic, payload.clone()));
    unsent.add(topic);
  }

  /** Marks all as unsent: a new connection may lead to a broker that knows nothing. */
  synchronized void sendAllAgain() {
    unsent.addAll(latest.keySet());
  }

  /** Takes a state to send, or null if the broker has all. */
  synchronized @Nullable State take() {
    Iterator<String> topics = unsent.iterator();
    if (!topics.hasNext()) {
      return null;
    }
    String topic = topics.next();
    topics.remove();
    return latest.get(topic);
  }

  /** Returns the latest state of a topic, or null. */
  synchronized @Nullable State latest(String topic) {
    return latest.get(topic);
  }

  /** Returns whether the broker was sent all. */
  synchronized boolean allSent() {
    return unsent.isEmpty();
  }

  /** Returns the topics of which the broker does not have the latest state. */
  synchronized Set<String> unsent() {
    return new LinkedHashSet<>(unsent);
  }

  /** Gives back a state that could not be sent now; a newer one of its topic goes instead. */
  synchronized void giveBack(State state) {
    unsent.add(state.topic);
  }
}
