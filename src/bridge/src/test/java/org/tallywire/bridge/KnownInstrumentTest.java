package org.tallywire.bridge;

import static org.junit.jupiter.api.Assertions.assertEquals;
import static org.junit.jupiter.api.Assertions.assertTrue;

import java.nio.file.Path;
import java.util.ArrayList;
import java.util.List;
import java.util.Map;
import java.util.Optional;
import org.junit.jupiter.api.DisplayName;
import org.junit.jupiter.api.Test;
import org.junit.jupiter.api.io.TempDir;
import org.tallywire.api.Instrument;
import org.tallywire.api.TimeSource;
import org.tallywire.journal.Draft;
import org.tallywire.journal.Journal;

class KnownInstrumentTest {

  private static final Instrument OTHER = new Instrument("Invented", "tester", "008", "0.1");

  @TempDir private Path folder;

  private final KnownInstrument known = new KnownInstrument(Optional.empty());

  @Test
  @DisplayName("The first and the same instrument are no news, another one is, both serials named")
  void another() {
    assertEquals(Optional.empty(), known.meet("", Bench.TESTER));
    assertEquals(Optional.empty(), known.meet("", Bench.TESTER));
    assertEquals(
        Optional.of("another instrument than before: serial 007 was replaced by serial 008"),
        known.meet("", OTHER));
    assertEquals(
        Optional.of("another instrument than before: serial 008 was replaced by serial 007"),
        known.meet("", Bench.TESTER));
  }

  @Test
  @DisplayName("The same serial number of another model is another instrument")
  void model() {
    known.meet("", Bench.TESTER);
    assertEquals(
        Optional.of(
            "another instrument than before: Invented tester, serial 007 was replaced by Invented"
                + " meter, serial 007"),
        known.meet("", new Instrument("Invented", "meter", "007", "0.1")));
  }

  @Test
  @DisplayName("Several on one line are told apart by their addresses; one is replaced at its own")
  void addresses() {
    assertEquals(Optional.empty(), known.meet("01", Bench.TESTER));
    assertEquals(Optional.empty(), known.meet("02", OTHER));
    assertEquals(Optional.empty(), known.meet("01", Bench.TESTER));
    assertTrue(known.meet("01", OTHER).isPresent());
  }

  @Test
  @DisplayName("A meter that says its serial number late is not another one; then another is told")
  void late() {
    assertEquals(Optional.empty(), known.meet("", new Instrument("Invented", "tester", "", "")));
    assertEquals(Optional.empty(), known.meet("", Bench.TESTER));
    assertTrue(known.meet("", OTHER).isPresent());
  }

  @Test
  @DisplayName("Other firmware is told")
  void firmware() {
    known.meet("", Bench.TESTER);
    assertEquals(
        Optional.of(
            "the instrument, serial 007, has other firmware than before: 0.1 was replaced by 0.2"),
        known.meet("", new Instrument("Invented", "tester", "007", "0.2")));
  }

  @Test
  @DisplayName(
      "One that says no serial number after one that did is another; two such cannot be told")
  void noSerial() {
    Instrument nameless = new Instrument("Invented", "tester", "", "0.1");
    known.meet("", Bench.TESTER);
    assertTrue(known.meet("", nameless).orElseThrow().endsWith("was replaced by no serial number"));
    assertEquals(Optional.empty(), known.meet("", nameless));
  }

  @Test
  @DisplayName("A station set to one serial number refuses others and does not remember them")
  void pinned() {
    KnownInstrument pinned = new KnownInstrument(Optional.of("007"));
    assertEquals(Optional.empty(), pinned.refusal(Bench.TESTER));
    pinned.meet("", Bench.TESTER);
    String refusal = pinned.refusal(OTHER).orElseThrow();
    assertTrue(refusal.contains("has serial 008") && refusal.contains("serial 007 alone"), refusal);
    assertTrue(pinned.refusal(Instrument.UNNAMED).orElseThrow().contains("has no serial number"));
    assertEquals(Optional.empty(), pinned.meet("", Bench.TESTER));
  }

  @Test
  @DisplayName("Over a restart of the bridge the journal's last reading says which one it was")
  void journal() throws Exception {
    try (Journal journal = Journal.open(folder, TimeSource.system())) {
      assertEquals(Map.of(), LastInstruments.of(journal));
      List<Draft> drafts = new ArrayList<>();
      for (int number = 1; number <= 300; number++) {
        drafts.add(Bench.lvResistance(number, "A", "2.9"));
      }
      journal.append(drafts, List.of());
      assertEquals(Map.of("bay-1", Bench.TESTER), LastInstruments.of(journal));
    }
  }
}
