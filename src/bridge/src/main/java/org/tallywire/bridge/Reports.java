package org.tallywire.bridge;

import java.util.Locale;
import org.tallywire.format.StateRecord;
import org.tallywire.publish.BrokerState;
import org.tallywire.publish.Standing;
import org.tallywire.publish.StateListener;

/** Takes what the publisher reports of itself, and logs itself, to the board. */
final class Reports implements StateListener {

  private final StateBoard board;

  Reports(StateBoard board) {
    this.board = board;
  }

  @Override
  public void brokerState(BrokerState state, String sentence, boolean well) {
    board.broker(state.name().toLowerCase(Locale.ROOT), sentence, !well);
  }

  @Override
  public void standing(Standing standing) {
    board.standing(
        new StateRecord.Standing(
            standing.journalled(), standing.accepted(), standing.confirmed(), standing.shelved()));
  }
}
