package org.tallywire.simulator.unit;

import static org.junit.jupiter.api.Assertions.assertEquals;

import org.junit.jupiter.api.DisplayName;
import org.junit.jupiter.api.Test;
import org.junit.jupiter.params.ParameterizedTest;
import org.junit.jupiter.params.provider.CsvSource;
import org.junit.jupiter.params.provider.ValueSource;
import org.tallywire.simulator.physics.Material;
import org.tallywire.simulator.scenario.Group;
import org.tallywire.simulator.scenario.Plate;
import org.tallywire.simulator.scenario.Winding;

class TurnsTest {

  private static final double ROOT_3 = Math.sqrt(3);

  @Test
  @DisplayName("13 turns for 480Y/277 V: 13 200 V takes 619, its taps 604 and 635")
  void nearestTurnsOfTheThirteenTurnExample() {
    // IEEE C57.12.00 §9.1 (from memory), worked out by hand: 619.208, 603.728 and 634.688 turns.
    Turns turns = new Turns(Benches.plate(1600, "Dyn11", 13_200, 480, 6));
    assertEquals(13, turns.rated(Winding.LV));
    assertEquals(635, turns.of(Winding.HV, 2));
    assertEquals(619, turns.of(Winding.HV, 3));
    assertEquals(604, turns.of(Winding.HV, 4));
  }

  @Test
  @DisplayName("HL-0231: √3·K on each tap within a tenth of a per mille")
  void theTurnsOfHollowLaneAreNearThePlate() {
    // 11 000/433 V Dyn11 with ±2 × 2.5 %: 46.201355, 45.101323, 44.001291, 42.901258, 41.801226
    // (derived from the factor √3 for Dy, Modelica Standard Library).
    double[] plate = {46.201355, 45.101323, 44.001291, 42.901258, 41.801226};
    Turns turns = new Turns(Benches.HL_0231);
    assertEquals(30, turns.rated(Winding.LV));
    assertEquals(1320, turns.rated(Winding.HV));
    for (int tap = 1; tap <= plate.length; tap++) {
      double ratio = (double) turns.of(Winding.HV, tap) / turns.of(Winding.LV, tap);
      assertEquals(plate[tap - 1], ratio, plate[tap - 1] * 1e-4, "tap " + tap);
    }
  }

  @ParameterizedTest
  @CsvSource({
    // N1/N2 by K, from the Modelica Standard Library; rows with a zigzag HV are mirrored.
    "Yy0, 1",
    "Dd0, 1",
    "Dy11, 1.732050808",
    "Yd1, 0.577350269",
    "Dz0, 1.5",
    "Yz5, 0.866025404",
    "Zy1, 1.154700538",
    "Zd0, 0.666666667",
    "Zz6, 1",
    "Ii0, 1",
  })
  void windingTurnsByNameplateRatio(String group, double factor) {
    // Some 60 000 and 20 000 turns, so that whole turns hide nothing beyond 1e-4.
    Turns turns = new Turns(Benches.plate(5, group, 66_000, 22_000, 4));
    double ratio = (double) turns.rated(Winding.HV) / turns.rated(Winding.LV);
    assertEquals(factor, ratio / 3, 1e-4 * factor);
  }

  @ParameterizedTest
  @ValueSource(strings = {"Dyn11", "YNd11", "YNyn0", "Dd0", "Yzn5", "Dzn0", "ZNyn11", "Ii0"})
  @DisplayName("IEC 60076-1 table 1: also with few turns the ratio is within 0.5 % of the plate's")
  void fewTurnsAreChosenSoThatTheRatioComesOutWell(String group) {
    double[][] volts = {
      {400, 230}, {415, 208}, {690, 400}, {3300, 433}, {6600, 480}, {11_000, 240}
    };
    for (double kva : new double[] {16, 50, 100, 250}) {
      for (double[] pair : volts) {
        Plate plate = Benches.plate(kva, group, pair[0], pair[1], 4);
        Turns turns = new Turns(plate);
        double wound =
            turns.rated(Winding.HV)
                * line(plate.group().hv())
                / (turns.rated(Winding.LV) * line(plate.group().lv()));
        double plated = pair[0] / pair[1];
        assertEquals(plated, wound, 0.005 * plated, plate.toString());
      }
    }
  }

  /** Line voltage by voltage of all turns of a phase; a zigzag's halves stand 60° apart. */
  private static double line(Group.Connection connection) {
    return switch (connection) {
      case Y -> ROOT_3;
      case D, I -> 1;
      case Z -> 1.5;
    };
  }

  @Test
  void theHalvesOfAZigzagAreEqual() {
    for (double volts = 200; volts < 33_000; volts *= 1.07) {
      Turns turns = new Turns(Benches.plate(100, "Yzn5", 33_000, volts, 4));
      assertEquals(0, turns.rated(Winding.LV) % 2);
    }
  }

  @Test
  @DisplayName("taps on the LV winding: 100 turns with 1 % steps")
  void tapsOnTheLowVoltageSide() {
    Plate plate =
        new Plate(
            "T-2",
            100,
            11_000,
            // 0.527·√100 = 5.27 V a turn: 100 turns of a star have 527·√3 V.
            527 * ROOT_3,
            Group.of("Dyn11"),
            50,
            new Plate.Taps(Winding.LV, 5, 1, 3),
            4,
            Material.COPPER,
            Material.COPPER);
    Turns turns = new Turns(plate);
    for (int tap = 1; tap <= 5; tap++) {
      assertEquals(103 - tap, turns.of(Winding.LV, tap));
      // 11 000 V / 5.27 V = 2087.3.
      assertEquals(2087, turns.of(Winding.HV, tap));
    }
  }

  @Test
  @DisplayName("a single-phase unit has the volts per turn of one limb of three")
  void singlePhase() {
    // 100 kVA on one limb as 300 kVA on three: 0.527·√300 = 9.128 V; 433 V / 9.128 V = 47.4.
    assertEquals(47, new Turns(Benches.plate(100, "Ii0", 11_000, 433, 4)).rated(Winding.LV));
  }
}
