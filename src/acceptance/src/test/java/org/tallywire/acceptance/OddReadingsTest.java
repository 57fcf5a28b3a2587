package org.tallywire.acceptance;

import static org.junit.jupiter.api.Assertions.assertEquals;
import static org.junit.jupiter.api.Assertions.assertFalse;
import static org.junit.jupiter.api.Assertions.assertThrows;
import static org.junit.jupiter.api.Assertions.assertTrue;

import java.math.BigDecimal;
import java.math.BigInteger;
import java.util.ArrayList;
import java.util.List;
import java.util.Optional;
import java.util.OptionalInt;
import java.util.Random;
import org.junit.jupiter.api.Test;
import org.junit.jupiter.params.ParameterizedTest;
import org.junit.jupiter.params.provider.CsvSource;
import org.junit.jupiter.params.provider.EnumSource;
import org.junit.jupiter.params.provider.ValueSource;
import org.tallywire.acceptance.Nameplate.ResistanceReference;
import org.tallywire.acceptance.Verdict.State;
import org.tallywire.api.Quantity;
import org.tallywire.api.Reading;
import org.tallywire.api.Unit;
import org.tallywire.api.Value;

/** Whatever an instrument sends: an undecided verdict that says what to do, never an exception. */
class OddReadingsTest {

  private static final Nameplate PLATE =
      Samples.plate(
          "Dyn11",
          "433",
          Optional.empty(),
          List.of(new ResistanceReference("HV", "A", Samples.n("1.00"))),
          11275,
          11000,
          10725);
  private static final Step RATIO = Samples.step(PLATE, "turns-ratio/HV-LV/A/2");
  private static final Step RESISTANCE = Samples.step(PLATE, "winding-resistance/HV/A/2");

  private static Verdict judged(Step step, String criterion, Value... values) {
    return Samples.judged(PLATE, List.of(Samples.booked(step, 1, values)), criterion);
  }

  private static void undecided(Verdict v, String sentence, String next) {
    assertEquals(State.UNDECIDED, v.state());
    assertEquals(sentence, v.sentence());
    assertEquals(next, v.next());
    assertEquals(Optional.empty(), v.measured());
    assertEquals(Optional.empty(), v.deviation());
  }

  @ParameterizedTest
  @EnumSource(value = Reading.Status.class, names = "OK", mode = EnumSource.Mode.EXCLUDE)
  void aStatusOtherThanOk(Reading.Status status) {
    BookedReading booked = Samples.booked(RATIO, 1, status, Samples.ratioValues("44.0013", "4.31"));
    List<Verdict> verdicts =
        Samples.examine(new Examiner("set-1", PLATE, Samples.table()), booked, List.of(booked));
    assertEquals(2, verdicts.size());
    undecided(
        verdicts.get(0),
        "HV-LV A tap 2: ratio not judged: the instrument calls its reading %s."
            .formatted(status.word()),
        "Take it again.");
    assertEquals(State.UNDECIDED, verdicts.get(1).state());
  }

  @Test
  void aValueThatIsMissing() {
    undecided(
        judged(
            RATIO,
            "ratio-deviation",
            new Value.Missing(Quantity.TURNS_RATIO, Unit.ONE, Value.Reason.OVER_RANGE)),
        "HV-LV A tap 2: ratio not judged: the instrument gives over-range for turns-ratio.",
        "Switch the test voltage off, check that every lead, that of a neutral too, makes contact and"
            + " that HV is excited, and take it again.");
  }

  @Test
  void aQuantityThatIsNotThere() {
    undecided(
        judged(
            RATIO, "phase-displacement", Samples.value(Quantity.TURNS_RATIO, "44.0013", Unit.ONE)),
        "HV-LV A tap 2: phase displacement not judged: the reading has no phase-displacement.",
        "Take it again with an instrument that gives it, or use a criteria table without this"
            + " criterion.");
  }

  @Test
  void aUnitThatIsWrong() {
    undecided(
        judged(RATIO, "ratio-deviation", Samples.value(Quantity.TURNS_RATIO, "44", Unit.VOLT)),
        "HV-LV A tap 2: ratio not judged: the turns-ratio is in V, which is no unit of what is judged in 1.",
        "Check the instrument's driver, and take it again.");
  }

  @Test
  void noTemperature() {
    Verdict v =
        judged(
            RESISTANCE,
            "resistance-deviation",
            Samples.value(Quantity.WINDING_RESISTANCE, "1", Unit.OHM));
    assertEquals(State.UNDECIDED, v.state());
    assertTrue(v.sentence().contains("the reading has no winding-temperature"), v.sentence());
  }

  @ParameterizedTest
  @ValueSource(strings = {"-234.5", "-300", "1000", "250.1"})
  void aTemperatureThatNoWindingHas(String celsius) {
    Verdict v = judged(RESISTANCE, "resistance-deviation", Samples.resistanceValues("1", celsius));
    assertEquals(State.UNDECIDED, v.state());
    assertTrue(v.sentence().contains("°C, not -50 to 250"), v.sentence());
  }

  @ParameterizedTest
  @ValueSource(strings = {"0", "-0.5"})
  void aResistanceThatIsNotAboveZero(String ohms) {
    Verdict v = judged(RESISTANCE, "resistance-deviation", Samples.resistanceValues(ohms, "20"));
    assertEquals(State.UNDECIDED, v.state());
    assertTrue(v.sentence().contains("not above zero"), v.sentence());
  }

  // a number of 2 000 000 000 digits must not be written out
  @ParameterizedTest
  @ValueSource(strings = {"1e2000000000", "1e-2000000000", "0e2000000000", "7e65"})
  void aNumberTooLongToBeMeant(String number) {
    Verdict v =
        judged(RATIO, "ratio-deviation", Samples.value(Quantity.TURNS_RATIO, number, Unit.PERCENT));
    assertEquals(State.UNDECIDED, v.state());
    assertTrue(v.sentence().contains("more than 64 digits"), v.sentence());
  }

  @Test
  void everyPhaseThatMustBeTakenAgainIsNamed() {
    List<BookedReading> three = Samples.excitation(PLATE, 2, "42.1", "28.9", "43.6");
    three.set(0, Samples.booked(three.get(0).step(), 50, Samples.ratioValues("44.0013", "0")));
    three.set(
        1,
        Samples.booked(
            three.get(1).step(),
            51,
            Reading.Status.NOT_SETTLED,
            Samples.ratioValues("44.0013", "28.9")));
    undecided(
        Samples.judged(PLATE, three, "excitation-pattern"),
        "HV-LV tap 2: excitation currents not judged: in phase A the excitation-current is 0 mA, which is not"
            + " above zero; in phase B the instrument calls its reading not-settled.",
        "Check the leads, and take it again. Take it again.");
  }

  @Test
  void windingsOfWhichThePlateDoesNotSpeak() {
    List<BookedReading> three = new ArrayList<>();
    for (String phase : Step.PHASES) {
      Step step =
          new Step(
              "winding-resistance/TV/" + phase,
              Step.WINDING_RESISTANCE,
              "TV",
              phase,
              OptionalInt.empty(),
              "3U-3V",
              Optional.empty(),
              Unit.OHM);
      three.add(Samples.booked(step, three.size(), Samples.resistanceValues("1", "20")));
    }
    Verdict v = Samples.judged(PLATE, three, "resistance-unbalance");
    assertEquals(State.UNDECIDED, v.state());
    assertTrue(v.sentence().contains("what the windings TV are made of"), v.sentence());
  }

  @Test
  void aTestThatNoCriterionIsAbout() {
    Step step =
        new Step(
            "insulation/HV/A",
            "insulation",
            "HV",
            "A",
            OptionalInt.empty(),
            "1U",
            Optional.empty(),
            Unit.OHM);
    BookedReading booked = Samples.booked(step, 1, Samples.resistanceValues("1", "20"));
    assertEquals(
        List.of(),
        Samples.examine(new Examiner("set-1", PLATE, Samples.table()), booked, List.of()));
  }

  @Test
  void anyMixtureMakesVerdictsWithASentenceAndNoException() {
    Random random = new Random(Samples.seed());
    Examiner examiner = new Examiner("set-1", PLATE, Samples.table());
    List<Step> steps = TestPlan.of(PLATE).steps();
    for (int round = 0; round < Rounds.of(500); round++) {
      List<BookedReading> current = new ArrayList<>();
      for (Step step : steps) {
        if (random.nextInt(10) > 0) {
          current.add(oddReading(random, step, current.size()));
        }
      }
      BookedReading newest = oddReading(random, steps.get(random.nextInt(steps.size())), 500);
      for (Verdict v : Samples.examine(examiner, newest, current)) {
        assertFalse(v.sentence().isBlank());
        assertEquals(v.state() == State.UNDECIDED, v.deviation().isEmpty(), v.sentence());
        assertEquals(v.readings().size(), v.bookings().size());
      }
    }
  }

  private static BookedReading oddReading(Random random, Step step, int second) {
    List<Value> values = new ArrayList<>();
    for (Quantity quantity :
        List.of(
            Quantity.TURNS_RATIO,
            Quantity.EXCITATION_CURRENT,
            Quantity.PHASE_DISPLACEMENT,
            Quantity.TEST_VOLTAGE,
            Quantity.WINDING_RESISTANCE,
            Quantity.WINDING_TEMPERATURE)) {
      values.add(oddValue(random, quantity));
    }
    Reading.Status[] all = Reading.Status.values();
    Reading.Status status = random.nextInt(6) > 0 ? all[0] : all[random.nextInt(all.length)];
    while (values.size() > 1 && random.nextInt(4) == 0) {
      values.remove(random.nextInt(values.size()));
    }
    return Samples.booked(step, second, status, values.toArray(new Value[0]));
  }

  private static Value oddValue(Random random, Quantity quantity) {
    Unit usual =
        switch (quantity.name()) {
          case "turns-ratio" -> Unit.ONE;
          case "excitation-current" -> Unit.MILLIAMPERE;
          case "phase-displacement" -> Unit.DEGREE;
          case "test-voltage" -> Unit.VOLT;
          case "winding-resistance" -> Unit.OHM;
          default -> Unit.CELSIUS;
        };
    Unit unit = random.nextInt(12) == 0 ? new Unit("furlong") : usual;
    if (random.nextInt(12) == 0) {
      Value.Reason[] reasons = Value.Reason.values();
      return new Value.Missing(quantity, unit, reasons[random.nextInt(reasons.length)]);
    }
    BigDecimal usualSize = BigDecimal.valueOf(4000 + random.nextInt(100), 2);
    BigDecimal number =
        switch (random.nextInt(12)) {
          case 0 -> BigDecimal.valueOf(random.nextLong(), random.nextInt(80) - 40);
          case 1 -> BigDecimal.valueOf(random.nextLong(), random.nextInt());
          case 2 -> BigDecimal.ZERO;
          case 3 -> usualSize.negate();
          default -> usualSize;
        };
    return new Value.Measured(quantity, number, unit);
  }

  // up to 64 digits, and up to 64 of them behind the point or zeros before it
  @ParameterizedTest
  @CsvSource({"64,0,true", "65,0,false", "1,64,true", "1,65,false", "1,-64,true", "1,-65,false"})
  void aNumberHasUpTo64Digits(int digits, int scale, boolean taken) throws UndecidableException {
    BigDecimal number = new BigDecimal(new BigInteger("4".repeat(digits)), scale);
    Step step = Samples.step(PLATE, "turns-ratio/HV-LV/A/3");
    BookedReading booked =
        Samples.booked(step, 1, new Value.Measured(Quantity.TURNS_RATIO, number, Unit.ONE));
    if (taken) {
      assertEquals(number, Figures.number(booked, Quantity.TURNS_RATIO, Unit.ONE));
    } else {
      UndecidableException e =
          assertThrows(
              UndecidableException.class,
              () -> Figures.number(booked, Quantity.TURNS_RATIO, Unit.ONE));
      assertEquals("the turns-ratio has more than 64 digits", e.reason());
    }
  }
}
