package org.tallywire.bridge;

import java.util.Locale;
import org.tallywire.format.StateRecord;
import org.tallywire.publish.BrokerAddress;
import org.tallywire.publish.BrokerState;
import org.tallywire.publish.Standing;
import org.tallywire.publish.StateListener;

/** Takes what the publisher reports of itself, and logs itself, to the board. */
final class Reports implements StateListener {

  private final StateBoard board;
  private final String well;

  Reports(StateBoard board, BrokerAddress broker) {
    this.board = board;
    this.well =
        "connected to broker %s as client \"%s\".".formatted(broker.uri(), broker.clientId());
  }

  @Override
  public void brokerState(BrokerState state, String sentence) {
    // also connected there may be something to do: a certificate ends, consumers are not heard
    boolean fine = sentence.equals(well) || sentence.startsWith("connecting to broker ");
    board.broker(state.name().toLowerCase(Locale.ROOT), sentence, !fine);
  }

  @Override
  public void standing(Standing standing) {
    board.standing(
        new StateRecord.Standing(
            standing.journalled(), standing.accepted(), standing.confirmed(), standing.shelved()));
  }
}
