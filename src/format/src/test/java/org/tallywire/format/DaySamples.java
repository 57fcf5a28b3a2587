package org.tallywire.format;

import java.math.BigDecimal;
import java.time.LocalDate;
import java.util.LinkedHashMap;
import java.util.List;
import java.util.Map;
import java.util.Optional;
import org.tallywire.acceptance.Rule;
import org.tallywire.acceptance.Verdict;
import org.tallywire.api.Quantity;
import org.tallywire.api.Unit;
import org.tallywire.api.Value;
import org.tallywire.testset.Checklist;
import org.tallywire.testset.ChecklistAnswer;
import org.tallywire.testset.InstrumentEvent;
import org.tallywire.testset.InstrumentStanding;
import org.tallywire.testset.Note;
import org.tallywire.testset.Terms;
import org.tallywire.testset.TestSetEvent;

/** Records that people write in a day, all invented. */
final class DaySamples {

  private DaySamples() {}

  static TestSetEvent.Opened openedByAPerson() throws SetupException {
    TestSetEvent.Opened o = Samples.opened();
    Map<String, String> particulars = new LinkedHashMap<>();
    particulars.put("order", "invented 17");
    particulars.put("customer", "an invented mill");
    Checklist list =
        new Checklist(
            "invented",
            Checklist.Moment.BEFORE,
            List.of(new Checklist.Item("dead", "Is it dead?", "none", Rule.Certainty.PRACTICE)));
    return new TestSetEvent.Opened(
        o.testSet(),
        o.at(),
        o.stations(),
        o.nameplate(),
        o.plan(),
        o.criteria(),
        "Ada Sample",
        new Terms(Terms.Order.PLAN, List.of(list), particulars),
        List.of(InstrumentStanding.unknown(Samples.TESTER).after(verified()).after(calibrated())));
  }

  static Note note() {
    return new Note(
        "set-1",
        "bay-1",
        Samples.NOW,
        "Ada Sample",
        "a scratch on the tank",
        Optional.of("turns-ratio/HV-LV/A/1"),
        List.of(
            new Value.Measured(
                Quantity.WINDING_TEMPERATURE, new BigDecimal("21.50"), Unit.CELSIUS)),
        List.of(new Note.Attachment("scratch.jpg", 12_345, "ab".repeat(32))));
  }

  static ChecklistAnswer answer() {
    return new ChecklistAnswer(
        "set-1",
        "bay-1",
        Samples.NOW,
        "Ada Sample",
        Checklist.Moment.BEFORE,
        List.of(
            new ChecklistAnswer.Answer(
                "dead", ChecklistAnswer.Reply.NOT_APPLICABLE, "an empty tank")),
        Optional.of("a dummy"));
  }

  static InstrumentEvent verified() {
    return new InstrumentEvent.Verified(
        "bay-1",
        Samples.NOW,
        "Ada Sample",
        Samples.TESTER,
        "invented ratio standard",
        "RS-1",
        Quantity.TURNS_RATIO,
        Unit.ONE,
        new BigDecimal("10.000"),
        Optional.of(new BigDecimal("10.020")),
        Optional.of(new BigDecimal("0.200")),
        new BigDecimal("0.1"),
        Unit.PERCENT,
        new BigDecimal("0.02"),
        Verdict.State.FAIL,
        List.of("r1"),
        "fail");
  }

  static InstrumentEvent calibrated() {
    return new InstrumentEvent.Calibrated(
        "bay-1",
        Samples.NOW,
        "Ada Sample",
        Samples.TESTER,
        "C-17",
        "an invented laboratory",
        LocalDate.of(2025, 3, 1),
        LocalDate.of(2026, 3, 1));
  }
}
