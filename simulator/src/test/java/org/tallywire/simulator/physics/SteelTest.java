package org.tallywire.simulator.physics;

import static org.junit.jupiter.api.Assertions.assertEquals;
import static org.junit.jupiter.api.Assertions.assertThrows;
import static org.junit.jupiter.api.Assertions.assertTrue;

import org.junit.jupiter.api.Test;
import org.tallywire.simulator.physics.Steel.Magnetisation;

/** The steel against the laws that its authors gave, worked out by hand. */
class SteelTest {

  private static final Steel STEEL = Steel.GRAIN_ORIENTED;

  /** Joules by cubic metre and cycle: π·B·H of the part in phase with the voltage. */
  private static double loss(double peakTesla, double hertz) {
    Steel.Field field = STEEL.alternating(peakTesla, Magnetisation.NONE, hertz);
    return Math.PI * peakTesla * field.inPhaseWithVolts();
  }

  private static double field(double peakTesla, Magnetisation residual) {
    return STEEL.alternating(peakTesla, residual, 50).inPhaseWithFlux();
  }

  @Test
  void theLangevinFunctionAndItsInverse() {
    // coth 1 − 1 = 0.313035285; coth 5 − 0.2 = 0.800090804 (tables of coth).
    assertEquals(0.313035285, Steel.langevin(1), 1e-9);
    assertEquals(0.800090804, Steel.langevin(5), 1e-9);
    assertEquals(1 / 3.0, Steel.langevinSlope(0), 1e-12);
    for (double x : new double[] {-40, -1, 0, 0.049, 0.051, 0.5, 3, 100, 3000}) {
      // B = Js·L(x) + μ0·a·x, also where hardly anything but the air is left to grow.
      double tesla = STEEL.point(new Magnetisation(x, 0), 1).tesla();
      assertEquals(x, STEEL.place(tesla), Math.abs(x) * 1e-9);
      double slope = (Steel.langevin(x + 1e-4) - Steel.langevin(x - 1e-4)) / 2e-4;
      assertEquals(slope, Steel.langevinSlope(x), 1e-7);
    }
  }

  @Test
  void theSlopesAreThoseOfTheCurves() {
    Magnetisation from = new Magnetisation(0.3, -0.2);
    for (int direction : new int[] {-1, 1}) {
      double step = 1e-6 * direction;
      Steel.Point at = STEEL.point(from, direction);
      Magnetisation to = STEEL.moved(from, from.place() + step);
      double field = (STEEL.point(to, 1).field() - at.field()) / step;
      double tesla = (STEEL.point(to, 1).tesla() - at.tesla()) / step;
      assertEquals(field, at.fieldSlope(), field * 1e-4);
      assertEquals(tesla, at.teslaSlope(), tesla * 1e-4);
    }
  }

  @Test
  void smallLoopsLoseByTheCubeAndWideOnesByTheCoerciveField() {
    // 4·Hc·(B − tanh(σB)/σ): small 4/3·Hc·σ²·B³ (the cube of Rayleigh's law), wide 4·Hc·B.
    double small = 4.0 / 3 * 10 * 56 * 56 * Math.pow(0.0005, 3);
    assertEquals(small, loss(0.0005, 0), small * 1e-3);
    assertEquals(8, loss(0.001, 0) / loss(0.0005, 0), 0.02);
    assertEquals(4 * 10 * (1.6 - 1.0 / 56), loss(1.6, 0), 1e-6);
  }

  @Test
  void theLossIsTheAreaOfTheLoopThatTheSteelGoesRound() {
    double reach = STEEL.place(0.0058);
    Magnetisation at = STEEL.moved(Magnetisation.NONE, reach);
    double area = 0;
    int steps = 1000;
    int rounds = 20;
    for (int step = 1; step <= 4 * steps * rounds; step++) {
      // Down and up again, until the loop is the same each time; the last round counts.
      double place = reach * (1 - 2 * Math.abs((step + 2 * steps) / (2.0 * steps) % 2 - 1));
      Magnetisation next = STEEL.moved(at, place);
      double field = (STEEL.point(at, 1).field() + STEEL.point(next, 1).field()) / 2;
      if (step > 4 * steps * (rounds - 1)) {
        area += field * (STEEL.point(next, 1).tesla() - STEEL.point(at, 1).tesla());
      }
      at = next;
    }
    assertEquals(loss(0.0058, 0), area, area * 0.01);
  }

  @Test
  void eddyCurrentsLoseByTheClassicalFormula() {
    // π²·f²·B²·d²/(6ρ) W/m³ with 50 Hz, 1 T, 0.27 mm, 0.48 µΩ·m: 624.6 W/m³, 12.49 J a cycle.
    assertEquals(12.491, loss(1, 50) - loss(1, 0), 0.01);
  }

  @Test
  void initialPermeabilityAndSaturation() {
    double initial = 1e-5 / (field(1e-5, Magnetisation.NONE) * Steel.VACUUM_PERMEABILITY);
    assertEquals(1400, initial, 30);
    // J/Js = 1.6/2.03 = 0.78818 = L(4.7195): 5 × 4.7195 + 10 A/m.
    assertEquals(33.6, field(1.6, Magnetisation.NONE), 0.1);
    Magnetisation far = STEEL.moved(Magnetisation.NONE, 10_000);
    assertEquals(
        2.03 * (1 - 1e-4) + Steel.VACUUM_PERMEABILITY * 50_010, STEEL.point(far, 1).tesla(), 1e-6);
    // Far beyond saturation only the air takes more flux: 1 T needs 1/μ0 = 795 775 A/m.
    double beyond = field(5, Magnetisation.NONE) - field(4, Magnetisation.NONE);
    assertEquals(795_775, beyond, 10);
  }

  @Test
  void theFieldGrowsAsItsCurveDoes() {
    for (double peak : new double[] {1e-4, 0.01, 0.8, 1.9, 2.1}) {
      for (Magnetisation residual :
          new Magnetisation[] {Magnetisation.NONE, STEEL.residual(-0.6)}) {
        Steel.Field less = STEEL.alternating(peak * (1 - 1e-5), residual, 50);
        Steel.Field more = STEEL.alternating(peak * (1 + 1e-5), residual, 50);
        Steel.Field at = STEEL.alternating(peak, residual, 50);
        double growth = (more.inPhaseWithFlux() - less.inPhaseWithFlux()) / (peak * 2e-5);
        double lossGrowth = (more.inPhaseWithVolts() - less.inPhaseWithVolts()) / (peak * 2e-5);
        assertEquals(growth, at.growth(), growth * 1e-6);
        assertEquals(lossGrowth, at.lossGrowth(), Math.abs(lossGrowth) * 1e-6);
      }
    }
  }

  @Test
  void magnetisedSteelFollowsSmallChangesLessByTheLawOfGans() {
    // M/Ms = 0.5: x = 1.7968, 3·(1/x² − 1/sinh²x) = 0.5802.
    Magnetisation half = STEEL.residual(1.015);
    assertEquals(1.7968, half.place(), 1e-4);
    assertEquals(1.015, STEEL.point(half, 1).tesla(), 1e-12);
    assertEquals(0, STEEL.point(half, 1).field(), 1e-12);
    assertEquals(0.5802, field(1e-5, Magnetisation.NONE) / field(1e-5, half), 1e-3);
    assertTrue(field(1e-5, STEEL.residual(-1.015)) > field(1e-5, Magnetisation.NONE));
  }

  @Test
  void noMoreFluxStaysThanTheCoerciveFieldHolds() {
    // z = 1 at x = Hc/a = 2: 2.03·L(2) = 2.03·(coth 2 − 1/2) = 1.0908 T.
    assertEquals(1.0908, STEEL.mostResidualTesla(), 1e-4);
    assertEquals(-1, STEEL.residual(STEEL.mostResidualTesla()).pinning(), 1e-9);
    assertThrows(IllegalArgumentException.class, () -> STEEL.residual(1.1));
  }
}
