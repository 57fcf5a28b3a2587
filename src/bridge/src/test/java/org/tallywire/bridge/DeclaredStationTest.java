package org.tallywire.bridge;

import static org.awaitility.Awaitility.await;
import static org.junit.jupiter.api.Assertions.assertEquals;

import java.nio.charset.StandardCharsets;
import java.nio.file.Path;
import java.time.Duration;
import java.util.List;
import java.util.Map;
import java.util.Optional;
import java.util.concurrent.CopyOnWriteArrayList;
import org.junit.jupiter.api.AfterEach;
import org.junit.jupiter.api.BeforeEach;
import org.junit.jupiter.api.DisplayName;
import org.junit.jupiter.api.Test;
import org.junit.jupiter.api.io.TempDir;
import org.tallywire.api.Driver;
import org.tallywire.api.Link;
import org.tallywire.api.LinkAddress;
import org.tallywire.api.TimeSource;
import org.tallywire.declared.DeclaredFile;
import org.tallywire.format.RecordFormat;
import org.tallywire.journal.Journal;
import org.tallywire.journal.JournalEntry;
import org.tallywire.kit.ScriptedLink;

/** A station with a shipped declared driver and a real journal, over a link that is scripted. */
class DeclaredStationTest {

  private static final Path RATIOMETER = Path.of("../../shared/declared/query-ratiometer.yaml");

  @TempDir private Path folder;

  private final List<ScriptedLink> opened = new CopyOnWriteArrayList<>();
  private final List<String> states = new CopyOnWriteArrayList<>();
  private Journal journal;
  private Station station;

  @BeforeEach
  void open() throws Exception {
    journal = Journal.open(folder, TimeSource.system());
  }

  @AfterEach
  void close() {
    station.close();
    journal.close();
  }

  /** Starts the bridge's part of it, as new as after a start of the bridge. */
  private ScriptedLink start(Driver driver) {
    StateBoard board = new StateBoard(TimeSource.system());
    board.tell((name, record) -> states.add(new String(record, StandardCharsets.UTF_8)));
    int before = opened.size();
    station =
        new Station(
            new BridgeConfig.Station(
                "bay-7", driver, LinkAddress.Serial.at("scripted", 19_200), Optional.empty()),
            address -> link(),
            new Recorder(journal, TimeSource.system()),
            board,
            TimeSource.system());
    station.start();
    until(() -> opened.size() > before);
    ScriptedLink link = opened.get(before);
    answer(link, "REM\r", "OK");
    answer(link, "WHO\r", "Invented Bench Works;QR-2;004711;2.05");
    return link;
  }

  private Link link() {
    ScriptedLink link = new ScriptedLink();
    opened.add(link);
    return link;
  }

  private static void until(java.util.concurrent.Callable<Boolean> condition) {
    await().atMost(Duration.ofMinutes(1)).until(condition);
  }

  private static int asked(ScriptedLink link, String question) {
    String written = new String(link.written(), StandardCharsets.ISO_8859_1);
    return written.split(question, -1).length - 1;
  }

  private static void answer(ScriptedLink link, String question, String line) {
    until(() -> asked(link, question) > 0);
    link.arrive((line + "\r\n").getBytes(StandardCharsets.ISO_8859_1));
  }

  /** Answers the next question for the last reading, and waits until it is taken. */
  private static void gives(ScriptedLink link, String reading) {
    until(() -> asked(link, "LAST\r") > 0);
    int before = asked(link, "LAST\r");
    answer(link, "LAST\r", reading);
    until(() -> asked(link, "LAST\r") > before);
  }

  private static String reading(int number, String ratio) {
    return "%d,HV-LV,A,03,%s,0.8,OK".formatted(number, ratio);
  }

  private List<String> recorded() throws Exception {
    return journal.read(0, 100).stream().map(DeclaredStationTest::inWords).toList();
  }

  private static String inWords(JournalEntry entry) {
    try {
      if (entry.kind().equals(RecordFormat.GAP)) {
        var gap = RecordFormat.gap(entry.payload());
        return "%s gap %d-%d %s"
            .formatted(gap.from().epoch(), gap.from().number(), gap.to(), gap.reason().word());
      }
      var number = RecordFormat.reading(entry.payload()).reading().sequence().orElseThrow();
      return number.epoch() + " " + number.number();
    } catch (Exception e) {
      throw new AssertionError(e);
    }
  }

  @Test
  @DisplayName("DRV-12: a bridge that is started anew goes on behind the last reading on disk")
  void startedAnew() throws Exception {
    Driver driver = DeclaredFile.read(RATIOMETER);
    ScriptedLink link = start(driver);
    gives(link, reading(17, "25.0412"));
    station.close();
    link = start(driver);
    gives(link, reading(17, "25.0412"));
    assertEquals(List.of("n1 17"), recorded(), "the meter gave its last reading again");
    gives(link, reading(20, "25.0413"));
    assertEquals(List.of("n1 17", "n1 20", "n1 gap 18-19 skipped"), recorded());
    station.close();
    link = start(driver);
    gives(link, reading(1, "25.0414"));
    station.close();
    link = start(driver);
    gives(link, reading(1, "25.0414"));
    gives(link, reading(1, "25.0415"));
    assertEquals(
        List.of("n1 17", "n1 20", "n1 gap 18-19 skipped", "n2 1", "n3 1"),
        recorded(),
        "it was switched off and on twice; the same line is the same reading");
  }

  @Test
  @DisplayName("DRV-17: a serial number that contradicts the meter is told in the station's state")
  void contradicted() throws Exception {
    ScriptedLink link = start(DeclaredFile.read(RATIOMETER).configured(Map.of("serial", "0815")));
    gives(link, reading(17, "25.0412"));
    assertEquals(List.of("n1 17"), recorded());
    until(() -> states.stream().anyMatch(s -> s.contains("what the instrument says counts; take")));
  }
}
