package org.tallywire.simulator.tester;

import static org.junit.jupiter.api.Assertions.assertEquals;
import static org.junit.jupiter.api.Assertions.assertTrue;
import static org.tallywire.simulator.tester.Bench.ALL;
import static org.tallywire.simulator.tester.Bench.FIRST_LV;
import static org.tallywire.simulator.tester.Bench.RATIOS;
import static org.tallywire.simulator.tester.Bench.ohms;
import static org.tallywire.simulator.tester.Bench.value;

import java.util.List;
import org.junit.jupiter.api.Test;
import org.tallywire.simulator.scenario.LeadFault;
import org.tallywire.simulator.scenario.Phase;
import org.tallywire.simulator.scenario.Winding;
import org.tallywire.simulator.tester.Measurement.Channel;

/** What the test set reads of sound units when its leads are wrong, by hand. */
class LeadFaultReadingsTest {

  private static final long SEED = 5;

  @Test
  void twoSwappedLvLeadsExchangeTheirPhases() {
    // Dyn11: U–V is then compared with v–n, whose limb carries what returns beside the yoke.
    List<Measurement> sound = Bench.run(SEED);
    List<Measurement> swapped =
        Bench.run(SEED, new LeadFault.SwappedLeads(Winding.LV, Phase.A, Phase.B));
    for (int i = 0; i < RATIOS; i++) {
      double degrees = Math.abs(value(swapped.get(i), Channel.PHASE_DISPLACEMENT));
      double times = value(swapped.get(i), Channel.RATIO) / value(sound.get(i), Channel.RATIO);
      if (i % 3 == 2) {
        assertEquals(sound.get(i), swapped.get(i));
      } else {
        assertEquals(180, degrees, 1, swapped.get(i).toString());
        assertTrue(times > 1.3, swapped.get(i).toString());
      }
    }
    // The resistances are those of the other phase.
    assertEquals(
        ohms(sound.get(FIRST_LV)), ohms(swapped.get(FIRST_LV + 1)), 2e-4 * ohms(sound.get(18)));
    assertEquals(
        ohms(sound.get(FIRST_LV + 1)), ohms(swapped.get(FIRST_LV)), 2e-4 * ohms(sound.get(18)));
    assertEquals(ohms(sound.get(ALL - 1)), ohms(swapped.get(ALL - 1)), 1e-4 * ohms(sound.get(18)));
  }

  @Test
  void twoSwappedHvLeadsReverseTheirPair() {
    // U and V exchanged: U–V is excited the other way round; V–W is then U–W, W–U is W–V.
    List<Measurement> sound = Bench.run(SEED);
    List<Measurement> swapped =
        Bench.run(SEED, new LeadFault.SwappedLeads(Winding.HV, Phase.A, Phase.B));
    for (int i = 0; i < RATIOS; i += 3) {
      double times = value(swapped.get(i), Channel.RATIO) / value(sound.get(i), Channel.RATIO);
      assertEquals(1, times, 1e-4);
      double degrees = value(swapped.get(i), Channel.PHASE_DISPLACEMENT);
      assertEquals(180, Math.abs(degrees), 0.07, swapped.get(i).toString());
    }
    double line = ohms(sound.get(RATIOS));
    assertEquals(line, ohms(swapped.get(RATIOS)), 1e-4 * line);
    double other = ohms(sound.get(RATIOS + 2));
    assertEquals(other, ohms(swapped.get(RATIOS + 1)), 2e-4 * other);
  }

  @Test
  void withoutTheLvNeutralThereIsNothingToMeasure() {
    List<Measurement> sound = Bench.run(SEED);
    List<Measurement> missing = Bench.run(SEED, new LeadFault.MissingNeutral(Winding.LV));
    for (int i = 0; i < RATIOS; i++) {
      assertEquals("over-range", missing.get(i).values().get(Channel.RATIO));
      assertEquals("invalid", missing.get(i).values().get(Channel.PHASE_DISPLACEMENT));
      assertEquals(
          value(sound.get(i), Channel.EXCITATION_CURRENT),
          value(missing.get(i), Channel.EXCITATION_CURRENT),
          0.0021);
    }
    assertEquals(sound.subList(RATIOS, FIRST_LV), missing.subList(RATIOS, FIRST_LV));
    for (Measurement open : missing.subList(FIRST_LV, ALL)) {
      assertEquals("open", open.values().get(Channel.OHMS));
    }
  }

  @Test
  void withoutTheHvNeutralNoCurrentFlows() {
    // The voltage stands at the loose clip: 40 V within 0.5 % of the source and 0.2 % of the meter.
    List<Measurement> missing =
        Bench.run(
            Bench.scenario(
                Bench.plate("YNd11"),
                Bench.TESTER,
                SEED,
                new LeadFault.MissingNeutral(Winding.HV)));
    for (Measurement ratio : missing.subList(0, 3)) {
      assertEquals("0.000", ratio.values().get(Channel.EXCITATION_CURRENT));
      assertEquals("over-range", ratio.values().get(Channel.RATIO));
      assertEquals(40, value(ratio, Channel.TEST_VOLTAGE), 0.31);
    }
    for (Measurement open : missing.subList(3, 6)) {
      assertEquals("open", open.values().get(Channel.OHMS));
    }
    for (Measurement lv : missing.subList(6, 9)) {
      assertTrue(ohms(lv) > 0);
    }
  }
}
