package org.tallywire.bridge;

import static org.junit.jupiter.api.Assertions.assertEquals;
import static org.junit.jupiter.api.Assertions.assertFalse;
import static org.junit.jupiter.api.Assertions.assertTrue;

import java.nio.charset.StandardCharsets;
import java.time.Duration;
import java.util.ArrayList;
import java.util.List;
import java.util.Map;
import java.util.Optional;
import org.junit.jupiter.api.BeforeEach;
import org.junit.jupiter.api.DisplayName;
import org.junit.jupiter.api.Test;
import org.tallywire.format.Schemas;
import org.tallywire.format.StateRecord.Concern;
import org.tallywire.format.StateRecord.Counts;
import org.tallywire.format.StateRecord.Storage;
import org.tallywire.format.StateRecord.Word;
import org.tallywire.kit.ManualTime;
import org.tallywire.publish.BrokerState;
import org.tallywire.publish.Standing;

class StateBoardTest {

  private final ManualTime time = new ManualTime();
  private final StateBoard board = new StateBoard(time);
  private final Reports reports = new Reports(board);
  private final List<String> told = new ArrayList<>();

  @BeforeEach
  void start() {
    board.tell((station, record) -> told.add(new String(record, StandardCharsets.UTF_8)));
    board.bridge(Word.RUNNING, "");
  }

  @Test
  @DisplayName("No concern hides another; detail is the most severe; each goes alone")
  void concerns() throws Exception {
    board.trouble(Concern.JUDGING, "Judging waits.");
    reports.brokerState(BrokerState.REFUSED, "The broker refused.", false);
    board.storage(Storage.FULL, "No space.");
    reports.standing(new Standing(9, 7, Map.of("archive", 5L), 1));
    assertTrue(last().contains("\"detail\":\"No space.\""), last());
    for (String part :
        List.of(
            "{\"concern\":\"storage\",\"sentence\":\"No space.\"}",
            "{\"concern\":\"judging\",\"sentence\":\"Judging waits.\"}",
            "{\"concern\":\"broker\",\"sentence\":\"The broker refused.\"}",
            "{\"concern\":\"shelf\",\"sentence\":\"1 record lies on the shelf",
            "\"broker\":\"refused\"",
            "\"storage\":\"full\"",
            "\"journalled\":9,\"accepted\":7,\"confirmed\":{\"archive\":5},\"shelved\":1")) {
      assertTrue(last().contains(part), () -> part + " not in " + last());
    }
    board.storage(Storage.SOUND, "There is space again.");
    board.trouble(Concern.JUDGING, "");
    assertTrue(last().contains("\"detail\":\"The broker refused.\""), last());
    String well = "connected to broker tcp://127.0.0.1:1883 as client \"bay\".";
    reports.brokerState(BrokerState.CONNECTED, well, true);
    reports.standing(new Standing(9, 9, Map.of(), 0));
    assertTrue(last().contains("\"detail\":\"The broker refused.\""), "it may go again at once");
    time.pass(Duration.ofSeconds(5));
    board.refresh();
    assertTrue(last().contains("\"notices\":[]"), last());
    assertTrue(last().contains("\"detail\":\"connected to broker"), last());
    reports.brokerState(BrokerState.CONNECTED, well + " Our certificate ends soon.", false);
    assertTrue(last().contains("\"concern\":\"broker\""), last());
    for (String record : told) {
      assertEquals(
          List.of(),
          new Schemas().problems("state", record.getBytes(StandardCharsets.UTF_8)),
          record);
    }
  }

  @Test
  @DisplayName("While nothing can be put on disk every station says so, and not any more after it")
  void everyStation() {
    board.station("bay-1", Word.CONNECTED, "", Optional.empty(), Counts.NONE);
    board.station("bay-2", Word.DOWN, "Unplugged.", Optional.empty(), new Counts(7, 0, 0, true, 0));
    board.storage(Storage.FULL, "No space.");
    assertTrue(last("bay-1").contains("\"detail\":\"Nothing is acknowledged: "), last("bay-1"));
    assertTrue(
        last("bay-2").contains("\"detail\":\"Unplugged. Nothing is acknowledged: "), last("bay-2"));
    assertTrue(last("bay-2").contains("\"readings\":7"), last("bay-2"));
    board.station("bay-1", Word.CONNECTED, "Quiet.", Optional.empty(), Counts.NONE);
    assertTrue(last("bay-1").contains("Quiet. Nothing is acknowledged"), last("bay-1"));
    board.storage(Storage.SOUND, "There is space again.");
    assertTrue(last("bay-1").contains("\"detail\":\"Quiet.\""), last("bay-1"));
    assertTrue(last("bay-2").contains("\"detail\":\"Unplugged.\""), last("bay-2"));
  }

  @Test
  @DisplayName("The bridge's state goes out again after 5 s, with a new at and the old since")
  void signOfLife() {
    String first = last();
    int count = told.size();
    time.pass(Duration.ofMillis(4_900));
    board.refresh();
    assertEquals(count, told.size());
    time.pass(Duration.ofMillis(100));
    board.refresh();
    assertEquals(count + 1, told.size());
    assertEquals(Records.member(first, "since"), Records.member(last(), "since"));
    assertFalse(Records.member(first, "at").equals(Records.member(last(), "at")), last());
    board.bridge(Word.STOPPED, "The bridge was stopped.");
    time.pass(Duration.ofMinutes(1));
    board.refresh();
    assertEquals(count + 2, told.size(), "a bridge that stopped gives no sign of life");
  }

  private String last() {
    return last("bridge");
  }

  private String last(String station) {
    return told.stream()
        .filter(record -> Records.member(record, "station").equals(station))
        .reduce((a, b) -> b)
        .orElseThrow();
  }
}
