package org.tallywire.bridge;

import java.util.Locale;
import org.tallywire.format.StateRecord;
import org.tallywire.journal.StorageListener;
import org.tallywire.journal.StorageState;
import org.tallywire.publish.BrokerState;
import org.tallywire.publish.Standing;
import org.tallywire.publish.StateListener;

/**
 * Takes what journal and publisher report of themselves, and log themselves, to the board. Safe for
 * use by many threads.
 */
final class Reports implements StorageListener, StateListener {

  private final StateBoard board;

  Reports(StateBoard board) {
    this.board = board;
  }

  @Override
  public void storage(StorageState state, String sentence) {
    board.storage(StateRecord.Storage.valueOf(state.name()), sentence);
  }

  @Override
  public void brokerState(BrokerState state, String sentence) {
    boolean trouble = state == BrokerState.REFUSED || state == BrokerState.UNREACHABLE;
    board.broker(state.name().toLowerCase(Locale.ROOT), sentence, trouble);
  }

  @Override
  public void standing(Standing standing) {
    board.standing(
        new StateRecord.Standing(
            standing.journalled(), standing.accepted(), standing.confirmed(), standing.shelved()));
  }
}
