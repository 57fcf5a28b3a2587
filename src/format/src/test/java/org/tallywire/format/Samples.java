package org.tallywire.format;

import java.math.BigDecimal;
import java.time.Instant;
import java.util.List;
import java.util.Map;
import java.util.Optional;
import java.util.OptionalInt;
import org.tallywire.acceptance.CoreForm;
import org.tallywire.acceptance.Nameplate;
import org.tallywire.acceptance.Side;
import org.tallywire.acceptance.TapChanger;
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
                new TapChanger(
                    Side.HV,
                    TapChanger.Kind.DE_ENERGISED,
                    List.of(
                        new TapChanger.Tap(1, new BigDecimal("11550")),
                        new TapChanger.Tap(2, new BigDecimal("11000"))),
                    2)),
            Conductor.COPPER,
            Conductor.ALUMINIUM,
            new BigDecimal("75"),
            Optional.of(new BigDecimal("4.5")),
            Optional.empty(),
            OptionalInt.empty(),
            CoreForm.THREE_LIMB,
            List.of(new Nameplate.ResistanceReference("LV", "A", new BigDecimal("0.00289"))),
            Map.of());
    return new TestSetEvent.Opened(
        "set-1",
        NOW,
        List.of("bay-1"),
        plate,
        TestPlan.of(plate),
        CriteriaFile.shipped(CriteriaFile.DEFAULT));
  }

  static TestSet testSet() throws SetupException {
    return new TestSet(opened());
  }

  static Booking booking(TestSet testSet, RecordedReading reading) {
    return testSet.place(reading, NOW).orElseThrow();
  }
}
