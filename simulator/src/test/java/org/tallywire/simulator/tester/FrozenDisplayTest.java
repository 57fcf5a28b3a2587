package org.tallywire.simulator.tester;

import static org.junit.jupiter.api.Assertions.assertEquals;
import static org.junit.jupiter.api.Assertions.assertNotEquals;

import java.time.Duration;
import java.util.List;
import java.util.Optional;
import org.junit.jupiter.api.Test;
import org.tallywire.simulator.scenario.Faults;
import org.tallywire.simulator.scenario.Planted;
import org.tallywire.simulator.scenario.TesterFault.FrozenDisplay;

/** A display that stands still while the test set goes on. */
class FrozenDisplayTest {

  @Test
  void theValuesStayAndTheLabelsGoOn() {
    // From 2.1 s to 3.5 s: the readings that begin at 2.1 and 2.8 s show that of 1.4 s.
    Planted planted =
        new Planted(
            new FrozenDisplay(), Duration.ofMillis(2100), Optional.of(Duration.ofMillis(3500)));
    List<Measurement> sound = Bench.run(6);
    List<Measurement> frozen =
        Bench.run(new TestRun(Bench.scenario(6), new Faults(List.of(planted))));
    for (int i = 0; i < Bench.ALL; i++) {
      if (i == 3 || i == 4) {
        assertEquals(sound.get(2).values(), frozen.get(i).values());
        assertNotEquals(sound.get(i).values(), frozen.get(i).values());
        assertEquals(sound.get(i).phase(), frozen.get(i).phase());
        assertEquals(sound.get(i).tap(), frozen.get(i).tap());
      } else {
        assertEquals(sound.get(i), frozen.get(i));
      }
    }
  }

  @Test
  void aDisplayThatIsFrozenFromTheStartShowsItsFirstReading() {
    List<Measurement> frozen = Bench.run(6, new FrozenDisplay());
    List<Measurement> sound = Bench.run(6);
    frozen.forEach(reading -> assertEquals(sound.get(0).values(), reading.values()));
    assertEquals(sound.get(20).windings(), frozen.get(20).windings());
    assertEquals(sound.get(20).seconds(), frozen.get(20).seconds());
  }
}
