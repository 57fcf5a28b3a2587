package org.tallywire.simulator.scenario;

import java.util.ArrayList;
import java.util.Arrays;
import java.util.LinkedHashMap;
import java.util.LinkedHashSet;
import java.util.List;
import java.util.Map;
import java.util.OptionalDouble;
import java.util.Set;
import java.util.function.Function;
import org.tallywire.simulator.scenario.LeadFault.MissingNeutral;
import org.tallywire.simulator.scenario.LeadFault.SwappedLeads;
import org.tallywire.simulator.scenario.LineFault.BitErrors;
import org.tallywire.simulator.scenario.LineFault.Duplicates;
import org.tallywire.simulator.scenario.LineFault.Freeze;
import org.tallywire.simulator.scenario.LineFault.LineNoise;
import org.tallywire.simulator.scenario.LineFault.LostBytes;
import org.tallywire.simulator.scenario.LineFault.Reboot;
import org.tallywire.simulator.scenario.LineFault.StoreOverflow;
import org.tallywire.simulator.scenario.LineFault.Unplug;
import org.tallywire.simulator.scenario.LineFault.WrongClock;
import org.tallywire.simulator.scenario.TesterFault.Drift;
import org.tallywire.simulator.scenario.TesterFault.FrozenDisplay;
import org.tallywire.simulator.scenario.TesterFault.Noisy;
import org.tallywire.simulator.scenario.TesterFault.OutOfCalibration;
import org.tallywire.simulator.scenario.UnitFault.Addition;
import org.tallywire.simulator.scenario.UnitFault.BadJoint;
import org.tallywire.simulator.scenario.UnitFault.HotWinding;
import org.tallywire.simulator.scenario.UnitFault.OpenWinding;
import org.tallywire.simulator.scenario.UnitFault.ResidualMagnetism;
import org.tallywire.simulator.scenario.UnitFault.ReversedWinding;
import org.tallywire.simulator.scenario.UnitFault.ShortedTurns;
import org.tallywire.simulator.scenario.UnitFault.WornContact;
import org.tallywire.simulator.scenario.UnitFault.WrongConductor;
import org.tallywire.simulator.scenario.UnitFault.WrongPlate;
import org.tallywire.simulator.scenario.UnitFault.WrongTap;

/**
 * How a fault of one kind is written: its keys, and the way from text to record and back. The list
 * {@link #ALL} has every fault that a scenario can name.
 *
 * @param keys in the order in which they are written
 * @param reading makes the fault of what somebody wrote
 * @param writing gives the value of each key, empty for one to leave out
 */
record FaultForm<F extends Fault>(
    Class<F> kind,
    Set<String> keys,
    Function<FaultEntry, F> reading,
    Function<F, List<String>> writing) {

  private static final String HV_VOLTS = "high voltage";
  private static final String LV_VOLTS = "low voltage";

  /** Every kind of fault: of the unit, the leads, the tester, the line. */
  static final List<FaultForm<?>> ALL =
      List.of(
          form(
              ShortedTurns.class,
              "winding, phase, turns",
              e -> {
                Winding winding = e.winding();
                return new ShortedTurns(winding, e.phase(), e.turns(winding));
              },
              f -> List.of(word(f.winding()), word(f.phase()), "" + f.turns())),
          form(
              OpenWinding.class,
              "winding, phase",
              e -> new OpenWinding(e.winding(), e.phase()),
              f -> List.of(word(f.winding()), word(f.phase()))),
          form(
              BadJoint.class,
              "winding, phase, adds",
              e -> new BadJoint(e.winding(), e.phase(), e.adds()),
              f -> List.of(word(f.winding()), word(f.phase()), adds(f.adds()))),
          form(
              WornContact.class,
              "phase, position, adds, unsteady",
              e -> new WornContact(e.phase(), e.positionOrAll(), e.adds(), e.unsteady()),
              f ->
                  List.of(
                      word(f.phase()),
                      f.position() == 0 ? "all" : "" + f.position(),
                      adds(f.adds()),
                      Measure.SHARE.write(f.unsteady()))),
          form(
              WrongTap.class,
              "phase, steps",
              e -> new WrongTap(e.phaseOrAll(), e.steps()),
              f ->
                  List.of(
                      f.phase().map(FaultEntry::word).orElse(""),
                      f.steps() > 0 ? "+" + f.steps() : "" + f.steps())),
          form(
              ReversedWinding.class,
              "winding, phase",
              e -> new ReversedWinding(e.winding(), e.phase()),
              f -> List.of(word(f.winding()), word(f.phase()))),
          form(
              ResidualMagnetism.class,
              "phase, flux density",
              e -> new ResidualMagnetism(e.phase(), e.fluxDensity()),
              f -> List.of(word(f.phase()), Measure.FLUX_DENSITY.write(f.tesla()))),
          form(
              HotWinding.class,
              "by",
              e -> new HotWinding(e.hotter()),
              f -> List.of(Measure.DIFFERENCE.write(f.kelvin()))),
          form(
              WrongConductor.class,
              "winding, conductor",
              e -> {
                Winding winding = e.winding();
                return new WrongConductor(winding, e.conductor(winding));
              },
              f -> List.of(word(f.winding()), word(f.material()))),
          form(
              WrongPlate.class,
              HV_VOLTS + ", " + LV_VOLTS + ", group",
              FaultForm::wrongPlate,
              f ->
                  List.of(
                      volts(f.hvVolts()),
                      volts(f.lvVolts()),
                      f.group().map(Group::toString).orElse(""))),
          form(
              SwappedLeads.class,
              "winding, phases",
              FaultForm::swappedLeads,
              f -> List.of(word(f.winding()), f.one() + " and " + f.other())),
          form(
              MissingNeutral.class,
              "winding",
              e -> new MissingNeutral(e.windingWithNeutral()),
              f -> List.of(word(f.winding()))),
          form(
              Drift.class,
              "quantity, per hour",
              e -> new Drift(e.quantity(), e.perHour()),
              f -> List.of(word(f.quantity()), Measure.PERCENTAGE.write(f.percentPerHour()))),
          form(
              OutOfCalibration.class,
              "quantity, by",
              e -> new OutOfCalibration(e.quantity(), e.wrongBy()),
              f -> List.of(word(f.quantity()), Measure.PERCENTAGE.write(f.percent()))),
          form(
              Noisy.class,
              "times",
              e -> new Noisy(e.times()),
              f -> List.of(Measure.NUMBER.write(f.times()))),
          form(FrozenDisplay.class, "", e -> new FrozenDisplay(), f -> List.of()),
          form(
              LineNoise.class,
              "share",
              e -> new LineNoise(e.share()),
              f -> List.of(Measure.SHARE.write(f.share()))),
          form(
              BitErrors.class,
              "share",
              e -> new BitErrors(e.share()),
              f -> List.of(Measure.SHARE.write(f.probability()))),
          form(
              LostBytes.class,
              "share",
              e -> new LostBytes(e.share()),
              f -> List.of(Measure.SHARE.write(f.probability()))),
          form(
              Duplicates.class,
              "share",
              e -> new Duplicates(e.share()),
              f -> List.of(Measure.SHARE.write(f.share()))),
          form(Freeze.class, "", e -> new Freeze(), f -> List.of()),
          form(Unplug.class, "", e -> new Unplug(), f -> List.of()),
          form(
              Reboot.class,
              "lasts",
              e -> new Reboot(e.off()),
              f -> List.of(Measure.write(f.off()))),
          form(
              StoreOverflow.class,
              "holds",
              e -> new StoreOverflow(e.holds()),
              f -> List.of("" + f.holds())),
          form(
              WrongClock.class,
              "by",
              e -> new WrongClock(e.clockBy()),
              f -> List.of(Measure.write(f.by()))));

  /** Every kind by its word, in the order of {@link #ALL}. */
  static final Map<String, FaultForm<?>> BY_WORD = byWord();

  private static Map<String, FaultForm<?>> byWord() {
    Map<String, FaultForm<?>> forms = new LinkedHashMap<>();
    ALL.forEach(form -> forms.put(form.word(), form));
    return forms;
  }

  private static <F extends Fault> FaultForm<F> form(
      Class<F> kind,
      String keys,
      Function<FaultEntry, F> reading,
      Function<F, List<String>> writing) {
    List<String> list = keys.isEmpty() ? List.of() : Arrays.asList(keys.split(", ", -1));
    return new FaultForm<>(kind, new LinkedHashSet<>(list), reading, writing);
  }

  /** Returns the name of the kind. */
  String word() {
    return Fault.word(kind);
  }

  /** Returns the keys and values of a fault as they are written, {@code key: value} each. */
  static List<String> written(Fault fault) {
    FaultForm<?> form = BY_WORD.get(fault.word());
    if (form == null) {
      throw new IllegalStateException(fault + " is not in the list of forms");
    }
    return form.values(fault);
  }

  private List<String> values(Fault fault) {
    List<String> values = writing.apply(kind.cast(fault));
    List<String> written = new ArrayList<>();
    int index = 0;
    for (String key : keys) {
      String value = values.get(index++);
      if (!value.isEmpty()) {
        written.add(key + ": " + value);
      }
    }
    return written;
  }

  private static WrongPlate wrongPlate(FaultEntry e) {
    e.requireOneOf(HV_VOLTS, LV_VOLTS, "group");
    return new WrongPlate(
        e.volts(HV_VOLTS, PlateEntry.HIGH_VOLTAGE),
        e.volts(LV_VOLTS, PlateEntry.LOW_VOLTAGE),
        e.group());
  }

  private static SwappedLeads swappedLeads(FaultEntry e) {
    Winding winding = e.winding();
    List<Phase> phases = e.phases();
    return new SwappedLeads(winding, phases.get(0), phases.get(1));
  }

  private static String word(Enum<?> constant) {
    return FaultEntry.word(constant);
  }

  private static String adds(Addition adds) {
    return (adds.relative() ? Measure.SHARE : Measure.RESISTANCE).write(adds.amount());
  }

  private static String volts(OptionalDouble volts) {
    return volts.isPresent() ? Measure.VOLTAGE.write(volts.getAsDouble()) : "";
  }
}
