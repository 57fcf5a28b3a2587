package org.tallywire.acceptance;

import java.math.BigDecimal;
import java.math.RoundingMode;
import java.time.Instant;
import java.util.ArrayList;
import java.util.HashMap;
import java.util.List;
import java.util.Map;
import java.util.Optional;
import org.tallywire.acceptance.Criterion.Kind;
import org.tallywire.acceptance.Nameplate.ResistanceReference;
import org.tallywire.api.ClockQuality;
import org.tallywire.api.Instrument;
import org.tallywire.api.Quantity;
import org.tallywire.api.Reading;
import org.tallywire.api.Reading.Status;
import org.tallywire.api.RecordedReading;
import org.tallywire.api.Unit;
import org.tallywire.api.Value;

/** Makes invented readings of one winding resistance; what is not said stays as it was. */
final class ResistanceStream {

  static final Nameplate PLATE =
      Samples.plate(
          "Dyn11",
          "433",
          Optional.empty(),
          List.of(new ResistanceReference("HV", "A", Samples.n("0.25"))),
          11000);
  static final Step STEP = Samples.step(PLATE, "winding-resistance/HV/A/1");

  final List<BookedReading> readings = new ArrayList<>();
  Status status = Status.NOT_SETTLED;
  ClockQuality clock = ClockQuality.NONE;
  Map<String, String> labels = new HashMap<>();
  Instrument instrument = Instrument.UNNAMED;
  String station = "bay-2";
  String amperes = "";
  Step step = STEP;
  long arrivalPerSecond = 1000;

  ResistanceStream at(double second, String ohms) {
    return at(second, Samples.value(Quantity.WINDING_RESISTANCE, ohms, Unit.OHM));
  }

  ResistanceStream at(double second, Value ohms) {
    Instant taken = Samples.START.plusMillis(Math.round(1000 * second));
    Instant received = Samples.START.plusMillis(Math.round(arrivalPerSecond * second));
    Map<String, String> own = new HashMap<>(labels);
    boolean relative = clock == ClockQuality.RELATIVE;
    if (relative) {
      own.put("uptime", Long.toString(Math.round(1000 * second)));
    }
    List<Value> values = new ArrayList<>(List.of(ohms));
    values.add(Samples.value(Quantity.WINDING_TEMPERATURE, "75", Unit.CELSIUS));
    if (!amperes.isEmpty()) {
      values.add(Samples.value(Quantity.TEST_CURRENT, amperes, Unit.AMPERE));
    }
    Reading reading =
        new Reading(
            instrument,
            Optional.empty(),
            0,
            own,
            values,
            status,
            clock == ClockQuality.NONE || relative ? Optional.empty() : Optional.of(taken),
            clock,
            received,
            "invented line");
    String id = "%s:e1:%03d".formatted(station, readings.size());
    readings.add(
        new BookedReading(
            new RecordedReading(id, station, "line 1.0", reading), "booking:" + id, step));
    return this;
  }

  /** The end R and a part A that falls with the time constant τ, digits as an instrument. */
  ResistanceStream falling(double end, double part, double tau, double from, double by, int count) {
    for (int i = 0; i < count; i++) {
      at(from + i * by, fallen(end, part, tau, from + i * by));
    }
    return this;
  }

  List<Verdict> judged(Criterion... criteria) {
    BookedReading newest = readings.get(readings.size() - 1);
    return Samples.examine(
        new Examiner("set-1", PLATE, Samples.table(criteria)),
        newest,
        readings.subList(0, readings.size() - 1));
  }

  Verdict settling() {
    return Samples.verdict(judged(asked("0.1", "5")), "resistance-settling");
  }

  Verdict deviation() {
    return Samples.verdict(
        judged(
            asked("0.1", "5"),
            Samples.criterion(Kind.RESISTANCE_DEVIATION, "0.1", Map.of("limit", "2"))),
        "resistance-deviation");
  }

  static String fallen(double end, double part, double tau, double second) {
    return BigDecimal.valueOf(end + part * Math.exp(-second / tau))
        .setScale(7, RoundingMode.HALF_EVEN)
        .toPlainString();
  }

  static Criterion asked(String limit, String least) {
    return Samples.criterion(
        Kind.RESISTANCE_SETTLING, "0", Map.of("limit", limit, "least-readings", least));
  }
}
