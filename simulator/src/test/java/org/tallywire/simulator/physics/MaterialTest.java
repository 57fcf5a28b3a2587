package org.tallywire.simulator.physics;

import static org.junit.jupiter.api.Assertions.assertEquals;

import org.junit.jupiter.api.Test;

/** Conductors against published figures. */
class MaterialTest {

  @Test
  void conductorsAgreeWithPublishedFigures() {
    // 20 → 75 °C: copper 234.5 gives 1.216110, aluminium 225 gives 1.224490 (constants of the
    // IEEE C57.12.90 family). 95 mm² of IACS copper: 0.181488 Ω/km (1/58; NBS Handbook 100).
    assertEquals(1.216110, Material.COPPER.factorFrom20(75), 5e-7);
    assertEquals(1.224490, Material.ALUMINIUM.factorFrom20(75), 5e-7);
    assertEquals(0.181488, Material.COPPER.ohmsAt20(1000, 95), 5e-7);
    // 100 mΩ at 25 °C are 119.267823 mΩ at 75 °C in copper, 120 mΩ in aluminium (same constants).
    double copper = Material.COPPER.factorFrom20(75) / Material.COPPER.factorFrom20(25);
    double aluminium = Material.ALUMINIUM.factorFrom20(75) / Material.ALUMINIUM.factorFrom20(25);
    assertEquals(119.267823, 100 * copper, 1e-6);
    assertEquals(120, 100 * aluminium, 1e-9);
    // AWG 10 by diameter 0.101897 in: 3.27704 Ω/km at 20 °C (NBS Handbook 100: 0.9989 Ω/1000 ft).
    double area = Math.PI / 4 * Math.pow(0.101897 * 25.4, 2);
    assertEquals(3.27704, Material.COPPER.ohmsAt20(1000, area), 2e-4);
  }
}
