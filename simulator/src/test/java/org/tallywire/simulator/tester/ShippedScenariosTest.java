package org.tallywire.simulator.tester;

import static org.junit.jupiter.api.Assertions.assertEquals;
import static org.junit.jupiter.api.Assertions.assertTrue;
import static org.tallywire.simulator.tester.Bench.ALL;
import static org.tallywire.simulator.tester.Bench.RATIOS;
import static org.tallywire.simulator.tester.Bench.ohms;
import static org.tallywire.simulator.tester.Bench.value;

import java.util.List;
import java.util.OptionalLong;
import org.junit.jupiter.api.DisplayName;
import org.junit.jupiter.api.Test;
import org.tallywire.simulator.scenario.ScenarioException;
import org.tallywire.simulator.scenario.ScenarioFile;
import org.tallywire.simulator.tester.Measurement.Channel;

/** What the text of a shipped scenario says with figures is what is measured there. */
class ShippedScenariosTest {

  private static List<Measurement> run(String name) throws ScenarioException {
    return Bench.run(ScenarioFile.read(name, OptionalLong.empty()));
  }

  private static double milliamperes(List<Measurement> run, int index) {
    return value(run.get(index), Channel.EXCITATION_CURRENT);
  }

  @Test
  @DisplayName("residual-magnetism: the second round's currents are 8 to 20 % higher, outer unlike")
  void residualMagnetism() throws ScenarioException {
    List<Measurement> run = run("residual-magnetism");
    assertEquals(2 * ALL, run.size());
    for (int i = 0; i < RATIOS; i++) {
      double change = milliamperes(run, ALL + i) / milliamperes(run, i);
      assertTrue(change > 1.075 && change < 1.205, run.get(i) + ": " + change);
    }
    for (int i = 0; i < RATIOS; i += 3) {
      assertEquals(1, milliamperes(run, i) / milliamperes(run, i + 2), 0.02);
      double outer = milliamperes(run, ALL + i) / milliamperes(run, ALL + i + 2);
      assertTrue(Math.abs(outer - 1) > 0.08, "outer phases " + outer);
    }
  }

  @Test
  @DisplayName("left-magnetised: the outer phases are not alike from the start")
  void leftMagnetised() throws ScenarioException {
    List<Measurement> run = run("left-magnetised");
    for (int i = 0; i < RATIOS; i += 3) {
      double outer = milliamperes(run, i) / milliamperes(run, i + 2);
      assertTrue(outer > 1.1, "outer phases " + outer);
    }
  }

  @Test
  @DisplayName("scpi-bench: a worn contact is different at every measurement")
  void scpiBench() throws ScenarioException {
    List<Measurement> run = run("scpi-bench");
    assertEquals(3 * ALL, run.size());
    int worn = RATIOS + 2;
    for (int round = 1; round < 3; round++) {
      double change = ohms(run.get(round * ALL + worn)) / ohms(run.get(worn)) - 1;
      assertTrue(Math.abs(change) > 0.001, "round " + round + ": " + change);
    }
  }

  @Test
  @DisplayName("large-unit: HV takes more than twice, LV four to five times as long to settle")
  void largeUnit() throws ScenarioException {
    List<Measurement> large = run("large-unit");
    List<Measurement> usual = run("hollow-lane");
    for (int i = 1; i <= 6; i++) {
      double times = large.get(large.size() - i).seconds() / usual.get(ALL - i).seconds();
      boolean lv = i <= 3;
      assertTrue(times > (lv ? 4 : 2) && times < (lv ? 5 : 2.5), i + " from last: " + times);
    }
  }

  @Test
  @DisplayName("wrong-plate: the ratio is about 4.1 % below what the plate leads to expect")
  void wrongPlate() throws ScenarioException {
    List<Measurement> run = run("wrong-plate");
    for (int i = 0; i < RATIOS; i++) {
      int tap = run.get(i).tap().orElseThrow();
      double stated = 11_000 * Math.sqrt(3) / 415 * (1 + 0.025 * (3 - tap));
      assertEquals(-0.041, value(run.get(i), Channel.RATIO) / stated - 1, 0.001);
    }
  }
}
