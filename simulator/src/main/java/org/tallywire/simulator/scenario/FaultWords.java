package org.tallywire.simulator.scenario;

import java.math.BigDecimal;
import java.math.MathContext;
import java.time.Duration;
import java.util.ArrayList;
import java.util.List;
import org.tallywire.simulator.scenario.UnitFault.Addition;

/** Says what a fault is in words for people, with figures rounded to three digits. */
final class FaultWords {

  private static final MathContext ROUNDED = new MathContext(3);

  private FaultWords() {}

  static String of(Fault fault) {
    if (fault instanceof UnitFault unit) {
      return ofUnit(unit);
    } else if (fault instanceof LeadFault lead) {
      return ofLeads(lead);
    } else if (fault instanceof TesterFault tester) {
      return ofTester(tester);
    }
    return ofLine((LineFault) fault);
  }

  private static String ofUnit(UnitFault fault) {
    if (fault instanceof UnitFault.ShortedTurns f) {
      return "%s of %s %s shorted"
          .formatted(
              counted(f.turns(), "turn"),
              at(f.winding(), f.phase()),
              f.turns() == 1 ? "is" : "are");
    } else if (fault instanceof UnitFault.OpenWinding f) {
      return at(f.winding(), f.phase()) + " is open";
    } else if (fault instanceof UnitFault.BadJoint f) {
      return "a bad joint in %s adds %s".formatted(at(f.winding(), f.phase()), adds(f.adds()));
    } else if (fault instanceof UnitFault.WornContact f) {
      return "a worn contact of the tap changer in phase %s, %s, adds %s, unsteady by %s"
          .formatted(
              f.phase(),
              f.position() == 0 ? "on every position" : "on position " + f.position(),
              adds(f.adds()),
              amount(Measure.SHARE, f.unsteady()));
    } else if (fault instanceof UnitFault.WrongTap f) {
      return "the tap changer stands %s %s what it shows, %s"
          .formatted(
              counted(Math.abs(f.steps()), "position"),
              f.steps() > 0 ? "above" : "below",
              f.phase().map(phase -> "in phase " + phase).orElse("in all phases"));
    } else if (fault instanceof UnitFault.ReversedWinding f) {
      return at(f.winding(), f.phase()) + " is reversed";
    } else if (fault instanceof UnitFault.ResidualMagnetism f) {
      return "the limb of phase %s is left magnetised with %s"
          .formatted(f.phase(), amount(Measure.FLUX_DENSITY, f.tesla()));
    } else if (fault instanceof UnitFault.HotWinding f) {
      return "the windings are %s hotter than the thermometer says"
          .formatted(amount(Measure.DIFFERENCE, f.kelvin()));
    } else if (fault instanceof UnitFault.WrongConductor f) {
      return "the %s winding is of %s, not of what the plate says"
          .formatted(f.winding(), FaultEntry.word(f.material()));
    }
    return ofPlate((UnitFault.WrongPlate) fault);
  }

  private static String ofPlate(UnitFault.WrongPlate fault) {
    List<String> truths = new ArrayList<>();
    fault.hvVolts().ifPresent(v -> truths.add("HV " + amount(Measure.VOLTAGE, v)));
    fault.lvVolts().ifPresent(v -> truths.add("LV " + amount(Measure.VOLTAGE, v)));
    fault.group().ifPresent(group -> truths.add("group " + group));
    return "the unit is built for %s, not for what the plate says"
        .formatted(String.join(" and ", truths));
  }

  private static String ofLeads(LeadFault fault) {
    return fault instanceof LeadFault.SwappedLeads f
        ? "the %s leads of phases %s and %s are swapped".formatted(f.winding(), f.one(), f.other())
        : "the lead to the %s neutral makes no contact"
            .formatted(((LeadFault.MissingNeutral) fault).winding());
  }

  private static String ofTester(TesterFault fault) {
    if (fault instanceof TesterFault.Drift f) {
      return "the tester's %s drifts by %s an hour"
          .formatted(FaultEntry.word(f.quantity()), amount(Measure.PERCENTAGE, f.percentPerHour()));
    } else if (fault instanceof TesterFault.OutOfCalibration f) {
      return "the tester's %s is out of calibration by %s"
          .formatted(FaultEntry.word(f.quantity()), amount(Measure.PERCENTAGE, f.percent()));
    } else if (fault instanceof TesterFault.Noisy f) {
      return "the tester's noise is %s times what it should be"
          .formatted(amount(Measure.NUMBER, f.times()));
    }
    return "the display is frozen";
  }

  private static String ofLine(LineFault fault) {
    if (fault instanceof LineFault.LineNoise f) {
      return "noise stands before %s of what is sent".formatted(share(f.share()));
    } else if (fault instanceof LineFault.BitErrors f) {
      return "%s of the bits sent turn over".formatted(share(f.probability()));
    } else if (fault instanceof LineFault.LostBytes f) {
      return "%s of the bytes sent are lost".formatted(share(f.probability()));
    } else if (fault instanceof LineFault.Duplicates f) {
      return "%s of what is sent goes out twice".formatted(share(f.share()));
    } else if (fault instanceof LineFault.Freeze) {
      return "the line is frozen";
    } else if (fault instanceof LineFault.Unplug) {
      return "the cable is out";
    } else if (fault instanceof LineFault.Reboot f) {
      return "the tester is off for %s and starts again".formatted(time(f.off()));
    } else if (fault instanceof LineFault.StoreOverflow f) {
      return "the store holds only %s".formatted(counted(f.holds(), "reading"));
    }
    Duration by = ((LineFault.WrongClock) fault).by();
    return "the clock is %s %s".formatted(time(by.abs()), by.isNegative() ? "slow" : "fast");
  }

  private static String at(Winding winding, Phase phase) {
    return "%s phase %s".formatted(winding, phase);
  }

  private static String counted(int count, String thing) {
    return "%d %s%s".formatted(count, thing, count == 1 ? "" : "s");
  }

  private static String adds(Addition adds) {
    return amount(adds.relative() ? Measure.SHARE : Measure.RESISTANCE, adds.amount());
  }

  private static String share(double share) {
    return amount(Measure.SHARE, share);
  }

  private static String time(Duration time) {
    return Measure.TIME.write(time.toMillis() / 1000.0);
  }

  private static String amount(Measure measure, double amount) {
    boolean exact = measure == Measure.VOLTAGE;
    return measure.write(exact ? amount : BigDecimal.valueOf(amount).round(ROUNDED).doubleValue());
  }
}
