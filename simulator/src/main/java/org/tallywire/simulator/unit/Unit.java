package org.tallywire.simulator.unit;

import java.util.HashMap;
import java.util.List;
import java.util.Map;
import java.util.Random;
import org.tallywire.simulator.physics.Core;
import org.tallywire.simulator.physics.Network;
import org.tallywire.simulator.physics.Steel;
import org.tallywire.simulator.scenario.Plate;
import org.tallywire.simulator.scenario.Scenario;
import org.tallywire.simulator.scenario.UnitFault;
import org.tallywire.simulator.scenario.UnitFault.ResidualMagnetism;
import org.tallywire.simulator.scenario.UnitFault.WrongPlate;
import org.tallywire.simulator.scenario.Winding;

/**
 * The transformer under test, as its plate states it unless a fault says otherwise.
 *
 * <p>Its core remembers how it was magnetised from one test to the next. For one thread.
 */
public final class Unit {

  private final Scenario scenario;
  private final Map<Plate, Built> built = new HashMap<>();
  private Built now;
  private List<ResidualMagnetism> magnetisedBy = List.of();

  /** A design and its core. */
  private record Built(Design design, Core core) {}

  /** Builds the unit of a scenario; its spread of manufacture is chosen by the seed. */
  public Unit(Scenario scenario) {
    this.scenario = scenario;
    this.now = built(scenario.plate());
  }

  private Built built(Plate plate) {
    return built.computeIfAbsent(
        plate,
        wanted -> {
          Design design = new Design(wanted, scenario.random("manufacture"));
          return new Built(design, design.core());
        });
  }

  /** Returns the core with the residual magnetism that it has now. */
  public Core core() {
    return now.core;
  }

  /** Returns whether it has one phase only, by its plate. */
  public boolean singlePhase() {
    return scenario.plate().group().singlePhase();
  }

  /** Returns the turns of a phase from end to end on a position, as drawn. */
  public int turns(Winding winding, int position) {
    return now.design.turns().of(winding, position);
  }

  /**
   * Returns what is between the terminals now: 1U, 1V, 1W and 1N on the HV side, 2U to 2N on the LV
   * side, single-phase 1.1, 1.2, 2.1 and 2.2. A neutral is a node whether it is brought out or not.
   *
   * @param shownTap position that the tap changer shows
   * @param celsius what the thermometer says
   * @param faults that are there now; a residual magnetism acts once, when it first is among them,
   *     with as much as the steel keeps
   * @param contact random numbers for contacts that are worn
   */
  public Network network(int shownTap, double celsius, List<UnitFault> faults, Random contact) {
    now = built(realPlate(faults));
    magnetise(faults);
    return Wiring.network(now.design, now.core, shownTap, celsius, faults, contact);
  }

  /** Returns what the plate would have to say. */
  private Plate realPlate(List<UnitFault> faults) {
    Plate plate = scenario.plate();
    for (UnitFault fault : faults) {
      if (fault instanceof WrongPlate wrong) {
        plate =
            new Plate(
                plate.serial(),
                plate.kilovoltAmperes(),
                wrong.hvVolts().orElse(plate.hvVolts()),
                wrong.lvVolts().orElse(plate.lvVolts()),
                wrong.group().orElse(plate.group()),
                plate.hertz(),
                plate.taps(),
                plate.impedancePercent(),
                plate.hvConductor(),
                plate.lvConductor());
      }
    }
    return plate;
  }

  private void magnetise(List<UnitFault> faults) {
    List<ResidualMagnetism> wanted =
        faults.stream()
            .filter(ResidualMagnetism.class::isInstance)
            .map(ResidualMagnetism.class::cast)
            .toList();
    for (ResidualMagnetism one : wanted) {
      if (!magnetisedBy.contains(one)) {
        double most = Steel.GRAIN_ORIENTED.mostResidualTesla();
        double tesla = Math.max(-most, Math.min(most, one.tesla()));
        now.core.magnetise(one.phase().limb(), tesla);
      }
    }
    magnetisedBy = wanted;
  }
}
