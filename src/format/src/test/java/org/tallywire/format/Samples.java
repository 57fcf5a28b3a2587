package org.tallywire.format;

import java.math.BigDecimal;
import java.time.Instant;
import java.util.EnumSet;
import java.util.List;
import java.util.Map;
import java.util.Optional;
import java.util.OptionalInt;
import org.tallywire.acceptance.CoreForm;
import org.tallywire.acceptance.Nameplate;
import org.tallywire.acceptance.PlanOptions;
import org.tallywire.acceptance.PlanOptions.TestKind;
import org.tallywire.acceptance.RatioBasis;
import org.tallywire.acceptance.Side;
import org.tallywire.acceptance.TapChanger;
import org.tallywire.acceptance.TapChanger.Kind;
import org.tallywire.acceptance.TestPlan;
import org.tallywire.acceptance.resistance.Conductor;
import org.tallywire.acceptance.winding.WindingGroup;
import org.tallywire.api.Booking;
import org.tallywire.api.ClockQuality;
import org.tallywire.api.Instrument;
import org.tallywire.api.Quantity;
import org.tallywire.api.Reading;
import org.tallywire.api.RecordedReading;
import org.tallywire.api.SequenceNumber;
import org.tallywire.api.Unit;
import org.tallywire.api.Value;
import org.tallywire.testset.TestSet;
import org.tallywire.testset.TestSetEvent;

/** One record of each kind, of an invented bench and transformer. */
final class Samples {

  static final Instant NOW = Instant.parse("2026-01-15T08:00:00.250Z");
  static final Instrument TESTER = new Instrument("Invented", "bench tester", "007", "0.1");

  private Samples() {}

  static RecordedReading reading(String ratio) {
    return new RecordedReading(
        "Invented.bench~20tester.007:b1:1:0",
        "bay-1",
        "line 1.0",
        new Reading(
            TESTER,
            Optional.of(new SequenceNumber("b1", 1)),
            0,
            Map.of("test", "turns-ratio", "windings", "HV-LV", "phase", "A", "tap", "1"),
            List.of(
                new Value.Measured(Quantity.TURNS_RATIO, new BigDecimal(ratio), Unit.ONE),
                new Value.Missing(
                    Quantity.EXCITATION_CURRENT, Unit.MILLIAMPERE, Value.Reason.OVER_RANGE)),
            Reading.Status.OK,
            Optional.of(NOW),
            ClockQuality.FREE,
            NOW,
            "!reading …"));
  }

  static TestSetEvent.Opened opened() throws SetupException {
    Nameplate plate =
        new Nameplate(
            "HL-0231",
            WindingGroup.parse("Dyn11"),
            new BigDecimal("250"),
            new BigDecimal("11000"),
            new BigDecimal("433"),
            new BigDecimal("50"),
            List.of(
                TapChanger.equalSteps(
                    Side.HV,
                    Kind.ON_LOAD,
                    new BigDecimal("11000"),
                    2,
                    new BigDecimal("5"),
                    new BigDecimal("-5"),
                    2)),
            Conductor.COPPER,
            Conductor.ALUMINIUM,
            new BigDecimal("75"),
            Optional.of(new BigDecimal("4.5")),
            Optional.of(new BigDecimal("0.8")),
            OptionalInt.of(23),
            CoreForm.FIVE_LIMB,
            List.of(new Nameplate.ResistanceReference("LV", "A", new BigDecimal("0.00289"))),
            Map.of("turns-ratio/HV-LV/B/1", new BigDecimal("46.2001")),
            Optional.of(new BigDecimal("13.1")),
            Optional.of(new BigDecimal("333")));
    return new TestSetEvent.Opened(
        "set-1",
        NOW,
        List.of("bay-1"),
        plate,
        TestPlan.of(plate),
        CriteriaFile.shipped(CriteriaFile.DEFAULT));
  }

  static TestSetEvent.Opened openedWithTwoTapChangers() throws SetupException {
    Nameplate one = opened().nameplate();
    Nameplate plate =
        new Nameplate(
            one.asset(),
            one.group(),
            one.ratedPower(),
            one.hvVoltage(),
            one.lvVoltage(),
            one.frequency(),
            List.of(
                TapChanger.equalSteps(
                    Side.LV,
                    Kind.DE_ENERGISED,
                    one.lvVoltage(),
                    3,
                    new BigDecimal("5"),
                    new BigDecimal("-5"),
                    2),
                TapChanger.equalSteps(
                    Side.HV,
                    Kind.ON_LOAD,
                    one.hvVoltage(),
                    17,
                    new BigDecimal("10"),
                    new BigDecimal("-1.25"),
                    9)),
            one.hvConductor(),
            one.lvConductor(),
            one.referenceTemperature(),
            one.impedancePercent(),
            one.noLoadCurrentPercent(),
            one.lvTurns(),
            one.core(),
            one.references(),
            Map.of("turns-ratio/HV-LV/B/2/17", new BigDecimal("39.61")));
    return new TestSetEvent.Opened(
        "set-2",
        NOW,
        List.of("bay-1"),
        plate,
        TestPlan.of(plate, new PlanOptions(EnumSet.allOf(TestKind.class), RatioBasis.LINE)),
        CriteriaFile.shipped(CriteriaFile.DEFAULT));
  }

  static TestSet testSet() throws SetupException {
    return new TestSet(opened());
  }

  static Booking booking(TestSet testSet, RecordedReading reading) {
    return testSet.place(reading, NOW).orElseThrow();
  }
}
