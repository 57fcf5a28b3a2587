package org.tallywire.simulator.face;

import static org.junit.jupiter.api.Assertions.assertEquals;
import static org.junit.jupiter.api.Assertions.assertInstanceOf;

import java.time.Instant;
import java.util.Map;
import java.util.Optional;
import org.junit.jupiter.api.Test;
import org.tallywire.simulator.face.Store.Entry;
import org.tallywire.simulator.tester.Measurement;

/** L-24 and L-26 in the instrument's memory. */
class StoreTest {

  private final Store store = new Store(3);

  private void add(int times) {
    for (int i = 0; i < times; i++) {
      store.add(new InstrumentClock.Stamp(Instant.EPOCH, 0), Measurement.ratio("A", 1, Map.of()));
    }
  }

  @Test
  void numbersGoUpByOneAndReadingsStayUntilForgotten() {
    add(3);
    assertEquals(3, store.last());
    store.forget(2);
    assertEquals(1, store.held());
    assertEquals(3, store.firstAfter(0).orElseThrow().seq());
    store.forget(3);
    assertEquals(Optional.empty(), store.firstAfter(0));
    add(1);
    assertEquals(4, store.last());
  }

  @Test
  void whatHadToGoIsOneRangeInItsPlace() {
    add(8);
    assertEquals(Optional.of(new Entry.Lost(1, 5)), store.firstAfter(0));
    assertEquals(Optional.of(new Entry.Lost(4, 5)), store.firstAfter(3));
    assertEquals(6, assertInstanceOf(Entry.Stored.class, store.firstAfter(5).orElseThrow()).seq());
    assertEquals(3, store.held());
  }

  @Test
  void aRangeIsForgottenBitByBitAndGrowsOn() {
    add(8);
    store.forget(2);
    assertEquals(Optional.of(new Entry.Lost(3, 5)), store.firstAfter(0));
    add(1);
    assertEquals(Optional.of(new Entry.Lost(3, 6)), store.firstAfter(0));
    store.forget(6);
    assertEquals(7, store.firstAfter(0).orElseThrow().seq());
    assertEquals(3, store.held());
  }
}
