package org.tallywire.publish;

import static org.junit.jupiter.api.Assertions.assertNotNull;

import java.io.EOFException;
import java.time.Duration;
import org.junit.jupiter.params.ParameterizedTest;
import org.junit.jupiter.params.provider.ValueSource;

/** Which message is blamed for the end of a connection, without a broker and without waiting. */
class CautionTest {

  private static final long STEP = Duration.ofMillis(10).toNanos();

  /** Up to acknowledgeWait an end is an end, however late; behind it, it is silence. */
  @ParameterizedTest
  @ValueSource(ints = {0, 9, 15, 29})
  void aBrokerMayTakeItsTimeToEndTheConnection(int seconds) {
    Caution caution = new Caution(Pace.USUAL);
    Outgoing bad = new Outgoing(Outgoing.Kind.ENTRY, 1, "r/s/a/reading", new byte[1], false);
    BrokerException end = BrokerException.from("lost", new EOFException());
    long now = 0;
    for (int connection = 0; connection < 10; connection++) {
      Trial trial = caution.trial(now);
      while (trial != null && !trial.over(now)) {
        now += STEP;
        if (trial.due(now)) {
          trial.sent();
        }
      }
      Window window = new Window(0);
      window.add(bad, now);
      now += Duration.ofSeconds(seconds).toNanos();
      caution.lost(end, new Caution.Loss(window, 0, 1, trial, now));
    }
    assertNotNull(caution.condemned(1), "after 10 connections");
  }
}
