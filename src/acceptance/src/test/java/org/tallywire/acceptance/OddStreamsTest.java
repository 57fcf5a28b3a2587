package org.tallywire.acceptance;

import static org.junit.jupiter.api.Assertions.assertEquals;
import static org.junit.jupiter.api.Assertions.assertFalse;

import java.math.BigDecimal;
import java.util.ArrayList;
import java.util.EnumSet;
import java.util.List;
import java.util.Map;
import java.util.Optional;
import java.util.OptionalInt;
import java.util.Random;
import java.util.Set;
import org.junit.jupiter.api.Test;
import org.tallywire.acceptance.Criterion.Kind;
import org.tallywire.acceptance.Nameplate.ResistanceReference;
import org.tallywire.acceptance.Verdict.State;
import org.tallywire.api.Quantity;
import org.tallywire.api.Reading.Status;
import org.tallywire.api.Unit;
import org.tallywire.api.Value;

/** Whatever a stream of resistance, insulation or impedance readings holds, nothing is thrown. */
class OddStreamsTest {

  private static final Map<Quantity, Unit> USUAL =
      Map.ofEntries(
          Map.entry(Quantity.WINDING_RESISTANCE, Unit.OHM),
          Map.entry(Quantity.WINDING_TEMPERATURE, Unit.CELSIUS),
          Map.entry(Quantity.TEST_CURRENT, Unit.AMPERE),
          Map.entry(Quantity.TEST_VOLTAGE, Unit.VOLT),
          Map.entry(Quantity.INSULATION_RESISTANCE, Unit.MEGOHM),
          Map.entry(Quantity.INSULATION_RESISTANCE_30_S, Unit.MEGOHM),
          Map.entry(Quantity.INSULATION_RESISTANCE_10_MIN, Unit.MEGOHM),
          Map.entry(Quantity.SHORT_CIRCUIT_VOLTAGE, Unit.VOLT),
          Map.entry(Quantity.SHORT_CIRCUIT_CURRENT, Unit.AMPERE),
          Map.entry(Quantity.SHORT_CIRCUIT_LOSS, Unit.WATT));

  private static CriteriaTable table() {
    return Samples.table(
        Samples.criterion(Kind.RESISTANCE_DEVIATION, "0.5", Map.of("limit", "2")),
        Samples.criterion(Kind.RESISTANCE_UNBALANCE, "0.3", Map.of("limit", "2", "of", "phases")),
        Samples.criterion(Kind.RESISTANCE_SETTLING, "0.01", Map.of("limit", "0.1")),
        Samples.criterion(
            Kind.TEST_CURRENT,
            "0.1",
            Map.of("limit", "15", "caution", "10", "least-of-no-load", "1.2")),
        Samples.criterion(Kind.INSULATION_RESISTANCE, "10", Map.of("limit", "500")),
        Samples.criterion(Kind.POLARISATION_INDEX, "0.02", Map.of("limit", "1.25")),
        Samples.criterion(Kind.ABSORPTION_RATIO, "0.02", Map.of("limit", "1.25")),
        Samples.criterion(
            Kind.SHORT_CIRCUIT_IMPEDANCE,
            "0.1",
            Map.of("threshold", "10", "limit-from", "7.5", "limit-below", "10")));
  }

  private static List<Step> steps(Nameplate plate) {
    List<Step> steps = new ArrayList<>();
    for (String phase : Step.PHASES) {
      steps.add(Samples.step(plate, "winding-resistance/HV/" + phase + "/1"));
    }
    for (String test : List.of(Step.INSULATION_RESISTANCE, Step.SHORT_CIRCUIT_IMPEDANCE)) {
      steps.add(
          new Step(
              test + "/HV-LV/ABC",
              test,
              Step.HV_LV,
              Step.ALL_PHASES,
              OptionalInt.empty(),
              "",
              Optional.of(Samples.n("4")),
              Unit.PERCENT));
    }
    return steps;
  }

  @Test
  void anyStreamMakesVerdictsWithASentenceAndNoException() {
    Random random = new Random(Samples.seed());
    SamplePlate sample = new SamplePlate().taps("11000");
    sample.noLoadCurrent = Optional.of("2");
    sample.references = List.of(new ResistanceReference("HV", "A", Samples.n("40")));
    Nameplate plate = sample.plate();
    Examiner examiner = new Examiner("set-1", plate, table());
    Set<State> seen = EnumSet.noneOf(State.class);
    for (int round = 0; round < Rounds.of(60); round++) {
      Evidence evidence = new Evidence();
      int wild = random.nextInt(3) == 0 ? 3 : 30;
      for (int i = 0; i < 25; i++) {
        List<Step> steps = steps(plate);
        Step step = steps.get(random.nextInt(4) > 0 ? 0 : random.nextInt(steps.size()));
        BookedReading booked = reading(random, step, i * (1 + random.nextInt(4)), wild);
        evidence.book(booked);
        for (Verdict v : examiner.examine(booked, evidence)) {
          assertFalse(v.sentence().isBlank());
          assertFalse(v.next().isBlank());
          assertEquals(v.state() == State.UNDECIDED, v.deviation().isEmpty(), v.sentence());
          assertEquals(v.readings().size(), v.bookings().size());
          assertEquals(v.readings().size(), Set.copyOf(v.readings()).size(), v.sentence());
          seen.add(v.state());
        }
      }
    }
    assertEquals(EnumSet.allOf(State.class), seen);
  }

  private static BookedReading reading(Random random, Step step, int second, int wild) {
    List<Value> values = new ArrayList<>();
    for (Map.Entry<Quantity, Unit> usual : USUAL.entrySet()) {
      if (random.nextInt(wild) > 0) {
        values.add(value(random, usual.getKey(), usual.getValue(), wild));
      }
    }
    values.add(Samples.value(new Quantity("other"), "1", Unit.ONE));
    Status[] all = Status.values();
    Status status = random.nextInt(wild) > 0 ? all[random.nextInt(2)] : all[random.nextInt(4)];
    return Samples.booked(step, second, status, values.toArray(new Value[0]));
  }

  private static Value value(Random random, Quantity quantity, Unit usual, int wild) {
    if (random.nextInt(wild) == 0) {
      Value.Reason[] reasons = Value.Reason.values();
      return new Value.Missing(quantity, usual, reasons[random.nextInt(reasons.length)]);
    }
    Unit unit = random.nextInt(wild) == 0 ? new Unit("furlong") : usual;
    boolean alike = quantity.equals(Quantity.WINDING_RESISTANCE);
    BigDecimal size = BigDecimal.valueOf(4000 + random.nextInt(alike ? 4 : 4000), 2);
    BigDecimal number =
        random.nextInt(wild) > 0
            ? size
            : switch (random.nextInt(5)) {
              case 0 -> BigDecimal.valueOf(random.nextLong(), random.nextInt(160) - 80);
              case 1 -> BigDecimal.valueOf(random.nextLong(), random.nextInt());
              case 2 -> BigDecimal.ZERO;
              case 3 -> new BigDecimal("1e" + (random.nextInt(128) - 64));
              default -> size.negate();
            };
    return new Value.Measured(quantity, number, unit);
  }
}
