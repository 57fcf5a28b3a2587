package org.tallywire.scpi;

import java.util.ArrayDeque;
import java.util.ArrayList;
import java.util.Deque;
import java.util.List;

/**
 * Readings that were missed, asked for one after the other from the newest backwards, so that the
 * first that the instrument does not have any more tells that all older ones are gone too. At most
 * {@value #MOST} are asked for; they are given in order when the last has come.
 */
final class Missed {

  static final int MOST = 2_000;

  private final Answer newest;
  private final long from;
  private final Deque<Answer> found = new ArrayDeque<>();
  private long wanted;

  /**
   * @param newest the reading behind them, which has a number
   * @param from the first that was missed
   */
  Missed(Answer newest, long from) {
    this.newest = newest;
    this.from = from;
    this.wanted = newest.number().orElseThrow() - 1;
  }

  /** Returns the number to ask for. */
  long wanted() {
    return wanted;
  }

  /** Takes the one that was asked for; returns whether that was all. */
  boolean found(Answer answer) {
    found.addFirst(answer);
    wanted--;
    return wanted < from || found.size() == MOST;
  }

  /** Takes all that are stored; what is older than the oldest of them is gone. */
  void found(List<Answer> stored) {
    for (int i = stored.size() - 1; i >= 0; i--) {
      Answer answer = stored.get(i);
      if (answer.number().orElseThrow() == wanted && wanted >= from) {
        found.addFirst(answer);
        wanted--;
      }
    }
  }

  /** Returns what was found and the newest, in order. */
  List<Answer> inOrder() {
    List<Answer> all = new ArrayList<>(found);
    all.add(newest);
    return all;
  }
}
