package org.tallywire.acceptance;

import static org.junit.jupiter.api.Assertions.assertEquals;
import static org.junit.jupiter.api.Assertions.assertTrue;

import java.math.BigDecimal;
import java.math.RoundingMode;
import java.util.ArrayList;
import java.util.List;
import java.util.Map;
import java.util.Optional;
import java.util.OptionalInt;
import java.util.Random;
import org.junit.jupiter.api.Test;
import org.junit.jupiter.params.ParameterizedTest;
import org.junit.jupiter.params.provider.CsvSource;
import org.tallywire.acceptance.Criterion.Kind;
import org.tallywire.acceptance.Verdict.State;
import org.tallywire.acceptance.resistance.Conductor;
import org.tallywire.api.Quantity;
import org.tallywire.api.Unit;
import org.tallywire.api.Value;

/** Tolerances of IEC 60076-1 table 1: 7.5 % from 10 % on, 10 % below (memory). */
class ImpedanceTest {

  private static final Criterion IEC =
      Samples.criterion(
          Kind.SHORT_CIRCUIT_IMPEDANCE,
          "0",
          Map.of("threshold", "10", "limit-from", "7.5", "limit-below", "10"));

  /** 1 MVA, 11 kV, both windings of copper. */
  private static SamplePlate sample() {
    SamplePlate plate = new SamplePlate().taps("11000");
    plate.power = "1000";
    plate.lvConductor = Conductor.COPPER;
    return plate;
  }

  private static Step step(String expected) {
    return new Step(
        "short-circuit-impedance/HV-LV/ABC/1",
        Step.SHORT_CIRCUIT_IMPEDANCE,
        Step.HV_LV,
        Step.ALL_PHASES,
        OptionalInt.of(1),
        "1U-1V-1W fed, 2u+2v+2w shorted",
        Optional.of(expected).filter(e -> !e.isEmpty()).map(BigDecimal::new),
        Unit.PERCENT);
  }

  private static List<Verdict> all(SamplePlate plate, String expected, Value... values) {
    BookedReading booked = Samples.booked(step(expected), 1, values);
    return Samples.examine(
        new Examiner("set-1", plate.plate(), Samples.table(IEC)), booked, List.of(booked));
  }

  private static Verdict judged(SamplePlate plate, String expected, Value... values) {
    List<Verdict> verdicts = all(plate, expected, values);
    assertEquals(1, verdicts.size());
    return verdicts.get(0);
  }

  /** Leaves out what is empty. */
  private static Value[] read(String volts, String amperes, String watts, String celsius) {
    List<Value> values = new ArrayList<>();
    add(values, Quantity.SHORT_CIRCUIT_VOLTAGE, volts, Unit.VOLT);
    add(values, Quantity.SHORT_CIRCUIT_CURRENT, amperes, Unit.AMPERE);
    add(values, Quantity.SHORT_CIRCUIT_LOSS, watts, Unit.WATT);
    add(values, Quantity.WINDING_TEMPERATURE, celsius, Unit.CELSIUS);
    return values.toArray(new Value[0]);
  }

  private static void add(List<Value> values, Quantity quantity, String number, Unit unit) {
    if (!number.isEmpty()) {
      values.add(Samples.value(quantity, number, unit));
    }
  }

  // 1 MVA, 11 kV, 550 V at 52.486388 A and 10.5 kW: z = 5 %, r = 1.05 %; copper (235) from 25 to
  // 75 °C 5.046267 %, with 234.5 r = 1.05 x 1.1926782 = 1.2523121 and z = 5.0463643 (derived)
  @Test
  void isBroughtToTheReferenceTemperature() {
    Verdict v = judged(sample(), "5", read("550", "52.486388", "10500", "25"));
    assertEquals(State.PASS, v.state());
    double r = 1.05 * 309.5 / 259.5;
    double z = Math.sqrt(r * r + 25 - 1.05 * 1.05);
    assertEquals(z, v.measured().orElseThrow().doubleValue(), 1e-6);
    assertEquals((z / 5 - 1) * 100, v.deviation().orElseThrow().doubleValue(), 1e-5);
    assertEquals(Optional.of(Samples.n("5")), v.expected());
    assertEquals(Unit.PERCENT, v.unit());
    assertEquals(
        "HV-LV tap 1: impedance 5.04636 % from 550 V at 52.4864 A and 25 °C, at 75 °C, is +0.927 %"
            + " from 5 % (limit ±10 %): pass.",
        v.sentence());
    assertEquals("Go on.", v.next());
  }

  @ParameterizedTest
  @CsvSource({"'','',COPPER", "10500,'',COPPER", "'',25,COPPER", "10500,25,ALUMINIUM"})
  void withoutWhatTheCorrectionNeedsItStaysAsMeasured(String watts, String celsius, Conductor lv) {
    SamplePlate plate = sample();
    plate.lvConductor = lv;
    Verdict v = judged(plate, "5", read("550", "52.486388", watts, celsius));
    assertEquals(
        Samples.n("5.00000"), v.measured().orElseThrow().setScale(5, RoundingMode.HALF_EVEN));
    assertTrue(v.sentence().contains("52.4864 A as measured is "), v.sentence());
  }

  // the voltage grows with the current, the loss with its square
  @Test
  void atAnyCurrent() {
    Verdict rated = judged(sample(), "5", read("550", "52.486388", "10500", "25"));
    Verdict tenth = judged(sample(), "5", read("55", "5.2486388", "105", "25"));
    assertEquals(rated.deviation(), tenth.deviation());
  }

  @Test
  void singlePhase() {
    SamplePlate plate = sample();
    plate.group = "Ii0";
    plate.core = CoreForm.SINGLE_PHASE;
    // 1 MVA at 11 kV are 90.909091 A; 550 V are 5 %
    Verdict v = judged(plate, "5", read("550", "90.909090909", "", ""));
    assertEquals(0, v.measured().orElseThrow().compareTo(Samples.n("5")));
  }

  // rated 100 A at 10 000 V (1000 √3 kVA): 100 V are 1 %; boundaries belong to the better side
  @ParameterizedTest
  @CsvSource({
    "10,1075,PASS,7.5", "10,1075.01,FAIL,7.5", "10,925,PASS,7.5", "10,924.99,FAIL,7.5",
    "9.99,1098.9,PASS,10", "9.99,1098.91,FAIL,10", "9.99,899.1,PASS,10", "9.99,899.09,FAIL,10"
  })
  void theToleranceIsThatOfThePlatesImpedance(
      String expected, String volts, State state, String limit) {
    SamplePlate plate = new SamplePlate().taps("10000");
    plate.power = "1732.0508075688772935274463415058723669428052538104";
    plate.lv = "1000";
    Verdict v = judged(plate, expected, read(volts, "100", "", ""));
    assertEquals(Samples.n(limit), v.limit());
    assertEquals(state, v.state(), v.sentence());
  }

  @Test
  void aFailSaysWhatToDo() {
    Verdict high = judged(sample(), "4", read("550", "52.486388", "", ""));
    assertEquals(State.FAIL, high.state());
    assertTrue(high.findings().get(0).sentence().startsWith("It is higher than the plate's"));
    assertTrue(high.next().startsWith("With the unit de-energised and earthed"), high.next());
    Verdict low = judged(sample(), "6", read("550", "52.486388", "", ""));
    assertTrue(low.findings().get(0).sentence().startsWith("It is lower than the plate's"));
    assertEquals(Finding.Kind.HINT, low.findings().get(0).kind());
    assertEquals("all", low.findings().get(0).phase());
  }

  @Test
  void isNotJudgedWhereThePlateHasNone() {
    assertEquals(List.of(), all(sample(), "", read("550", "52.486388", "", "")));
  }

  // 550 V and 52.486388 A make 50 kVA at most
  @ParameterizedTest
  @CsvSource({
    "'',52,'',''",
    "550,'','',''",
    "0,52,'',''",
    "-550,52,'',''",
    "550,0,'',''",
    "550,52.486388,-1,25",
    "550,52.486388,50001,25",
    "550,52.486388,10500,300",
    "1e70,52,'',''"
  })
  void badInputIsUndecided(String volts, String amperes, String watts, String celsius) {
    Verdict v = judged(sample(), "5", read(volts, amperes, watts, celsius));
    assertEquals(State.UNDECIDED, v.state(), v.sentence());
    assertTrue(!v.next().isBlank());
  }

  @Test
  void allTheLossThatThereCanBeIsTaken() {
    Verdict v = judged(sample(), "5", read("550", "52.486388", "49999", ""));
    assertEquals(State.PASS, v.state(), v.sentence());
  }

  @Test
  void scalingPowerAndCurrentChangesNothing() {
    Random random = new Random(Samples.seed());
    for (int i = 0; i < Rounds.of(200); i++) {
      SamplePlate plate = sample();
      int scale = 1 + random.nextInt(9);
      int amperes = 1 + random.nextInt(60);
      String volts = Integer.toString(100 + random.nextInt(900));
      Verdict here = judged(plate, "5", read(volts, Integer.toString(amperes), "", ""));
      plate.power = Integer.toString(1000 * scale);
      Verdict there = judged(plate, "5", read(volts, Integer.toString(amperes * scale), "", ""));
      assertEquals(here.deviation(), there.deviation());
      double z = 100 * Double.parseDouble(volts) / 11000 * (1e6 / Math.sqrt(3) / 11000) / amperes;
      assertEquals(z, here.measured().orElseThrow().doubleValue(), z * 1e-7);
    }
  }
}
