package org.tallywire.fault;

import static org.junit.jupiter.api.Assertions.assertEquals;
import static org.junit.jupiter.api.Assertions.assertFalse;
import static org.junit.jupiter.api.Assertions.assertTrue;

import java.util.ArrayList;
import java.util.List;
import java.util.function.Consumer;
import org.junit.jupiter.api.BeforeEach;
import org.junit.jupiter.api.DisplayName;
import org.junit.jupiter.api.Test;

/** The oracle finds what it is there to find: each test breaks one thing in a run that is sound. */
class OracleTest {

  private final List<Taken> taken = new ArrayList<>();
  private final List<Told> journal = new ArrayList<>();
  private final List<Told> received = new ArrayList<>();

  /** Two instruments of five readings each; number 4 of the second is lost and declared. */
  @BeforeEach
  void sound() {
    for (int number = 1; number <= 5; number++) {
      for (String serial : List.of("A", "B")) {
        taken.add(new Taken(serial, "b1", number, line(number)));
        journal.add(
            serial.equals("B") && number == 4
                ? gap("B", "b1", 4, 4)
                : reading(serial, "b1", number, serial + number));
      }
    }
    received.addAll(journal);
  }

  @Test
  @DisplayName("A sound run, with a repeat and a state among what was received, is sound")
  void nothingWrong() {
    received.add(journal.get(0));
    received.add(Told.of("{\"record\":\"state\",\"station\":\"A\"}"));
    Findings found = Oracle.judge(taken, journal, received);
    assertEquals(new Findings(10, 0, 0, 1, 0, List.of()), found);
    assertTrue(found.isSound());
  }

  @Test
  @DisplayName("A reading that the journal does not hold and no gap declares is lost")
  void undeclared() {
    Findings found = judge(() -> removeBoth(4));
    assertEquals(1, found.lost());
    found = judge(() -> removeBoth(6));
    assertEquals(2, found.lost(), "with its gap gone");
  }

  @Test
  @DisplayName("An entry that was never received is lost, be it a reading or a gap")
  void neverReceived() {
    assertEquals(1, judge(() -> received.remove(2)).lost());
    assertEquals(2, judge(() -> received.removeIf(t -> t.kind().equals("gap"))).lost());
  }

  @Test
  @DisplayName("A reading twice under two ids, an id twice, and one id in two versions are doubled")
  void doubled() {
    assertEquals(1, judge(() -> addBoth(reading("A", "b1", 5, "other"))).doubled());
    assertEquals(2, judge(() -> journal.add(journal.get(0))).doubled(), "with the one before");
    received.add(reading("A", "b1", 1, "A1", "\"status\":\"other\","));
    assertTrue(Oracle.judge(taken, journal, received).doubled() > 0);
  }

  @Test
  @DisplayName("A reading booked twice is found")
  void bookedTwice() {
    addBoth(Told.of("{\"record\":\"booking\",\"id\":\"k1\",\"reading\":\"A1\"}"));
    assertTrue(Oracle.judge(taken, journal, received).isSound());
    addBoth(Told.of("{\"record\":\"booking\",\"id\":\"k2\",\"reading\":\"A1\"}"));
    assertEquals(1, Oracle.judge(taken, journal, received).doubled());
  }

  @Test
  @DisplayName("Another order is found, in the journal and at the subscriber")
  void reordered() {
    swap(received, 2, 4);
    assertSays("was received behind");
    swap(received, 2, 4);
    assertTrue(Oracle.judge(taken, journal, received).isSound());
    swap(journal, 2, 4);
    swap(received, 2, 4);
    assertSays("stands in the journal behind");
  }

  @Test
  @DisplayName("Another content is found: against the line taken, against the journal")
  void changed() {
    taken.set(0, new Taken("A", "b1", 1, line(1) + "7"));
    assertSays("was taken as");
    taken.set(0, new Taken("A", "b1", 1, line(1)));
    received.set(0, reading("A", "b1", 1, "A1", "\"status\":\"other\","));
    assertSays("was received other than");
  }

  @Test
  @DisplayName("A gap that is not true is found")
  void falseGap() {
    breakAndExpect(g -> addBoth(gap("A", "b1", 5, 5)), "which the journal holds");
  }

  @Test
  @DisplayName("A gap and a reading that nobody took are found")
  void invented() {
    breakAndExpect(g -> addBoth(gap("A", "b1", 6, 6)), "which no instrument took");
    breakAndExpect(g -> addBoth(reading("A", "b1", 9, "A9")), "which no instrument took");
    breakAndExpect(g -> received.add(reading("A", "b1", 9, "A10")), "does not hold it");
  }

  @Test
  @DisplayName("The last readings of a life that ended are untold; one in the midst of it is lost")
  void switchedOff() {
    taken.add(new Taken("A", "b2", 1, line(1)));
    addBoth(reading("A", "b2", 1, "A-b2-1"));
    removeBoth(8);
    Findings found = Oracle.judge(taken, journal, received);
    assertEquals(1, found.untold());
    assertTrue(found.isSound());
    removeBoth(2);
    found = Oracle.judge(taken, journal, received);
    assertEquals(1, found.untold());
    assertEquals(1, found.lost());
  }

  private Findings judge(Runnable breaking) {
    breaking.run();
    Findings found = Oracle.judge(taken, journal, received);
    assertFalse(found.isSound());
    return found;
  }

  private void breakAndExpect(Consumer<OracleTest> breaking, String words) {
    breaking.accept(this);
    assertSays(words);
  }

  private void assertSays(String words) {
    Findings found = Oracle.judge(taken, journal, received);
    assertTrue(found.wrong().stream().anyMatch(s -> s.contains(words)), found.toString());
  }

  private void addBoth(Told told) {
    journal.add(told);
    received.add(told);
  }

  private void removeBoth(int index) {
    Told told = journal.remove(index);
    received.remove(told);
  }

  private static void swap(List<Told> list, int one, int other) {
    list.set(one, list.set(other, list.get(one)));
  }

  private static String line(int number) {
    return "!reading boot=b1 seq=%d v1=1.5".formatted(number);
  }

  private static Told reading(String serial, String boot, int number, String id) {
    return reading(serial, boot, number, id, "");
  }

  private static Told reading(String serial, String boot, int number, String id, String more) {
    return Told.of(
        ("{\"record\":\"reading\",\"id\":\"%s\",\"station\":\"%s\",\"instrument\":{\"serial\":\"%s\"},"
                + "%s\"sequence\":{\"epoch\":\"%s\",\"number\":%d,\"part\":0},\"raw\":\"%s*0A1F\"}")
            .formatted(id, serial, serial, more, boot, number, line(number)));
  }

  private static Told gap(String serial, String boot, int from, int to) {
    return Told.of(
        ("{\"record\":\"gap\",\"id\":\"g%s%d\",\"station\":\"%s\",\"instrument\":{\"serial\":\"%s\"},"
                + "\"epoch\":\"%s\",\"from\":%d,\"to\":%d,\"reason\":\"overflow\"}")
            .formatted(serial, from, serial, serial, boot, from, to));
  }
}
