package org.tallywire.simulator.scenario;

import java.util.Optional;
import java.util.OptionalDouble;
import org.tallywire.simulator.physics.Material;

/** What is wrong with the unit under test, or with its plate. */
public sealed interface UnitFault extends Fault {

  /** Turns of a phase closed on themselves, at least 1. */
  record ShortedTurns(Winding winding, Phase phase, int turns) implements UnitFault {
    public ShortedTurns {
      Require.positive(turns);
    }

    @Override
    public String place() {
      return winding + " " + phase;
    }
  }

  /** A phase that is broken. */
  record OpenWinding(Winding winding, Phase phase) implements UnitFault {
    @Override
    public String place() {
      return winding + " " + phase;
    }
  }

  /** A poor joint in series with a phase. */
  record BadJoint(Winding winding, Phase phase, Addition adds) implements UnitFault {
    @Override
    public String place() {
      return winding + " " + phase;
    }
  }

  /**
   * A worn contact of the tap changer, in series with the tapped winding.
   *
   * @param position where it is worn, 0 for every position
   * @param adds what it adds on average; it is another at every measurement
   * @param unsteady by which part of that it differs from measurement to measurement, 0 to 1
   */
  record WornContact(Phase phase, int position, Addition adds, double unsteady)
      implements UnitFault {
    public WornContact {
      Require.notNegative(position);
      Require.share(unsteady);
    }

    @Override
    public String place() {
      return "- " + phase;
    }
  }

  /**
   * The tap changer stands so many positions beyond what it shows; it cannot pass its ends.
   *
   * @param phase whose contact is wrong, nothing for all
   */
  record WrongTap(Optional<Phase> phase, int steps) implements UnitFault {
    @Override
    public String place() {
      return "- " + phase.map(Phase::toString).orElse("-");
    }
  }

  /** A phase whose two ends are exchanged. */
  record ReversedWinding(Winding winding, Phase phase) implements UnitFault {
    @Override
    public String place() {
      return winding + " " + phase;
    }
  }

  /** A limb left magnetised before the test, in tesla; negative the other way. */
  record ResidualMagnetism(Phase phase, double tesla) implements UnitFault {
    public ResidualMagnetism {
      Require.finite(tesla);
    }

    @Override
    public String place() {
      return "- " + phase;
    }
  }

  /** The windings are warmer than the thermometer says, kelvin. */
  record HotWinding(double kelvin) implements UnitFault {
    public HotWinding {
      Require.finite(kelvin);
    }
  }

  /**
   * A winding of another metal than the plate says, with the resistance at 75 °C that the plate's
   * metal would have: the constant that corrects for temperature is then wrong.
   */
  record WrongConductor(Winding winding, Material material) implements UnitFault {
    @Override
    public String place() {
      return winding + " -";
    }
  }

  /** The unit is built for something else than its plate says. */
  record WrongPlate(OptionalDouble hvVolts, OptionalDouble lvVolts, Optional<Group> group)
      implements UnitFault {}

  /**
   * A resistance that comes on top.
   *
   * @param amount a part of the phase's own resistance, or ohms
   * @param relative whether it is a part
   */
  record Addition(double amount, boolean relative) {
    public Addition {
      Require.notNegative(amount);
    }

    /** Returns the ohms that it adds to a phase. */
    public double ohms(double phaseOhms) {
      return relative ? amount * phaseOhms : amount;
    }
  }
}
