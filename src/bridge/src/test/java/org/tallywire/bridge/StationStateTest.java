package org.tallywire.bridge;

import static org.junit.jupiter.api.Assertions.assertEquals;
import static org.junit.jupiter.api.Assertions.assertFalse;
import static org.junit.jupiter.api.Assertions.assertTrue;

import java.nio.charset.StandardCharsets;
import java.time.Duration;
import java.util.ArrayList;
import java.util.List;
import org.junit.jupiter.api.BeforeEach;
import org.junit.jupiter.api.DisplayName;
import org.junit.jupiter.api.Test;
import org.tallywire.bridge.StationState.Topic;
import org.tallywire.format.StateRecord.Word;
import org.tallywire.kit.ManualTime;

class StationStateTest {

  private final ManualTime time = new ManualTime();
  private final List<String> states = new ArrayList<>();
  private StationState state;

  @BeforeEach
  void prepare() {
    StateBoard board = new StateBoard(time);
    board.tell((name, record) -> states.add(new String(record, StandardCharsets.UTF_8)));
    state = new StationState("bay-1", true, board, time);
  }

  @Test
  @DisplayName("A notice stays beside whatever the state is, for ten minutes, then it is gone")
  void lapses() {
    state.notice(Topic.INSTRUMENT, "another instrument than before");
    state.connected(Bench.TESTER);
    assertTrue(last().contains("another instrument than before"), last());
    state.detail("ready");
    assertTrue(last().contains("\"ready; another instrument than before\""), last());
    time.pass(Duration.ofMinutes(9));
    state.set(Word.DOWN, "The link is down.");
    assertTrue(last().contains("The link is down.; another instrument than before"), last());
    time.pass(Duration.ofMinutes(2));
    state.refresh();
    assertFalse(last().contains("another instrument"), last());
    assertTrue(last().contains("The link is down."), last());
  }

  @Test
  @DisplayName("A newer notice on the same topic replaces the older; one on another topic joins it")
  void topics() {
    state.notice(Topic.INSTRUMENT, "first");
    state.notice(Topic.RESTART, "started again");
    state.notice(Topic.INSTRUMENT, "second");
    assertFalse(last().contains("first"), last());
    assertTrue(last().contains("started again; second"), last());
  }

  @Test
  @DisplayName("Faults are all counted, whichever are logged")
  void counts() {
    long logged = 0;
    for (int fault = 0; fault < 250; fault++) {
      logged += state.faulted().isPresent() ? 1 : 0;
    }
    assertEquals(12, logged);
    time.pass(Duration.ofSeconds(2));
    state.refresh();
    assertTrue(last().contains("\"faults\":250"), last());
  }

  private String last() {
    return states.get(states.size() - 1);
  }
}
