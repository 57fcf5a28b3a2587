package org.tallywire.publish;

import java.util.List;
import java.util.concurrent.CopyOnWriteArrayList;

/** Remembers what a publisher told about the broker. */
final class Heard implements StateListener {

  private final List<BrokerState> states = new CopyOnWriteArrayList<>();
  private final List<String> sentences = new CopyOnWriteArrayList<>();
  private final List<Standing> standings = new CopyOnWriteArrayList<>();

  @Override
  public void brokerState(BrokerState state, String sentence, boolean well) {
    states.add(state);
    sentences.add(sentence);
  }

  @Override
  public void standing(Standing standing) {
    standings.add(standing);
  }

  List<Standing> standings() {
    return standings;
  }

  /** Returns whether any sentence has these words in it. */
  boolean said(String words) {
    return sentences.stream().anyMatch(sentence -> sentence.contains(words));
  }

  boolean heard(BrokerState state) {
    return states.contains(state);
  }

  long count(BrokerState state) {
    return states.stream().filter(state::equals).count();
  }

  /** Returns the first sentence told with a state. */
  String sentence(BrokerState state) {
    return sentences.get(states.indexOf(state));
  }

  void clear() {
    states.clear();
    sentences.clear();
  }

  @Override
  public String toString() {
    return states + " " + sentences;
  }
}
