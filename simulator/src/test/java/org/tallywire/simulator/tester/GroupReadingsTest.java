package org.tallywire.simulator.tester;

import static org.junit.jupiter.api.Assertions.assertEquals;
import static org.junit.jupiter.api.Assertions.assertTrue;

import java.util.List;
import org.junit.jupiter.params.ParameterizedTest;
import org.junit.jupiter.params.provider.ValueSource;
import org.tallywire.simulator.scenario.Group;
import org.tallywire.simulator.scenario.Plate;
import org.tallywire.simulator.scenario.Scenario;
import org.tallywire.simulator.scenario.Winding;
import org.tallywire.simulator.tester.Measurement.Channel;
import org.tallywire.simulator.tester.Measurement.Status;
import org.tallywire.simulator.unit.Hookup;
import org.tallywire.simulator.unit.Unit;

/** Whole runs over sound units of other connections. */
class GroupReadingsTest {

  @ParameterizedTest
  @ValueSource(
      strings = {
        "Dyn1", "Dyn5", "Dyn11", "YNd1", "YNd11", "Yd1", "Yy0", "YNyn0", "YNyn6", "Yzn5", "Yzn11",
        "Dd0", "Dd6", "Dz0", "Dzn6", "Ii0", "Ii6"
      })
  void theRatioIsThatOfTheVoltagesTimesTheConnections(String text) {
    // K = 6600/400 = 16.5; whole turns are within a few thousandths of it, so the turns themselves
    // are taken: HV/LV as wound, by the factor of the connection (trade facts 1.5).
    for (long seed = 1; seed <= 3; seed++) {
      Plate plate = Bench.plate(text);
      Scenario scenario = Bench.scenario(plate, Bench.TESTER, seed);
      Group group = plate.group();
      List<Measurement> run = Bench.run(scenario);
      List<Hookup> hookups = Hookup.ratio(group);
      double k = wound(new Unit(scenario), group);
      assertEquals(16.5, k, 16.5 * 0.01, "turns");
      for (int i = 0; i < hookups.size(); i++) {
        Measurement reading = run.get(i);
        double expected = k * hookups.get(i).readingOverK();
        double ratio = Bench.value(reading, Channel.RATIO);
        // The drop of the excitation current in half of the short-circuit reactance is in it.
        assertEquals(expected, ratio, expected * 0.004, text + " " + reading);
        double degrees = Bench.value(reading, Channel.PHASE_DISPLACEMENT);
        assertEquals(0, degrees, 0.3, text + " " + reading);
      }
      int resistances = 2 * hookups.size();
      assertEquals(hookups.size() + resistances, run.size());
      for (Measurement reading : run.subList(hookups.size(), run.size())) {
        assertEquals(Status.OK, reading.status(), text + " " + reading);
        assertTrue(Bench.ohms(reading) > 0, text + " " + reading);
      }
    }
  }

  /** Returns the ratio of line voltages that the turns of a unit give. */
  private static double wound(Unit unit, Group group) {
    return unit.turns(Winding.HV, 1)
        * line(group.hv())
        / (unit.turns(Winding.LV, 1) * line(group.lv()));
  }

  /** Line voltage by voltage of all turns of a phase; a zigzag's halves stand 60° apart. */
  private static double line(Group.Connection connection) {
    return switch (connection) {
      case Y -> Math.sqrt(3);
      case D, I -> 1;
      case Z -> 1.5;
    };
  }
}
