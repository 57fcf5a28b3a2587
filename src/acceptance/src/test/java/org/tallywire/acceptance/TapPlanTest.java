package org.tallywire.acceptance;

import static org.junit.jupiter.api.Assertions.assertEquals;
import static org.junit.jupiter.api.Assertions.assertFalse;
import static org.junit.jupiter.api.Assertions.assertThrows;
import static org.junit.jupiter.api.Assertions.assertTrue;

import java.math.BigDecimal;
import java.math.RoundingMode;
import java.util.Arrays;
import java.util.HashSet;
import java.util.List;
import java.util.Map;
import java.util.Optional;
import java.util.OptionalInt;
import java.util.Random;
import java.util.Set;
import org.junit.jupiter.api.Test;
import org.junit.jupiter.params.ParameterizedTest;
import org.junit.jupiter.params.provider.CsvSource;
import org.tallywire.acceptance.TapChanger.Kind;
import org.tallywire.acceptance.TapChanger.Tap;

class TapPlanTest {

  private static final String MOVED =
      "Move the de-energised tap changer only with the unit de-energised";

  /** Returns an 11000/433 V Dyn11 unit with 3 de-energised taps and 5 under load. */
  private static SamplePlate two(Side deEnergised, Side onLoad) {
    SamplePlate plate = new SamplePlate();
    plate.tapChangers =
        List.of(
            equal(onLoad, Kind.ON_LOAD, 5, "2.50", "-1.25", 3),
            equal(deEnergised, Kind.DE_ENERGISED, 3, "5", "-5", 2));
    return plate;
  }

  private static TapChanger equal(
      Side side, Kind kind, int positions, String first, String step, int principal) {
    BigDecimal rated = Samples.n(side == Side.HV ? "11000" : "433");
    return TapChanger.equalSteps(
        side, kind, rated, positions, Samples.n(first), Samples.n(step), principal);
  }

  private static BigDecimal expected(Nameplate plate, String id) {
    return Samples.step(plate, id).expected().orElseThrow().setScale(6, RoundingMode.HALF_EVEN);
  }

  @Test
  void takesEveryPositionOfEachTapChangerWithTheOtherOnItsPrincipalOne() {
    Nameplate plate = two(Side.LV, Side.HV).plate();
    List<String> ratios =
        TestPlan.of(plate).steps().stream()
            .map(Step::id)
            .filter(id -> id.startsWith("turns-ratio"))
            .toList();
    assertEquals(7 * 3, ratios.size(), ratios.toString());
    assertEquals(
        List.of("1/3", "2/3", "3/3", "2/1", "2/2", "2/4", "2/5"),
        ratios.stream()
            .filter(id -> id.contains("/B/"))
            .map(id -> id.substring("turns-ratio/HV-LV/B/".length()))
            .toList());
    assertEquals(
        List.of("turns-ratio/HV-LV/A/1/3", "turns-ratio/HV-LV/B/1/3", "turns-ratio/HV-LV/C/1/3"),
        ratios.subList(0, 3));
  }

  // 11000/433 V Dyn11: 44.001290723 on the principal taps (trade sheet, derived from the winding
  // ratio of the Modelica Standard Library); HV +2.5 % 45.101323, HV -2.5 % 42.901258 likewise; LV
  // taps divide by 1.05 and 0.95 (derived)
  @Test
  void expectsTheRatioOfBothTapChangers() {
    Nameplate plate = two(Side.LV, Side.HV).plate();
    assertEquals(Samples.n("44.001291"), expected(plate, "turns-ratio/HV-LV/A/2/3"));
    assertEquals(Samples.n("45.101323"), expected(plate, "turns-ratio/HV-LV/A/2/1"));
    assertEquals(Samples.n("42.901258"), expected(plate, "turns-ratio/HV-LV/A/2/5"));
    assertEquals(Samples.n("41.905991"), expected(plate, "turns-ratio/HV-LV/A/1/3"));
    assertEquals(Samples.n("46.317148"), expected(plate, "turns-ratio/HV-LV/A/3/3"));
  }

  @Test
  void twoTapChangersOnOneSideAddTheirTurns() {
    Nameplate plate = two(Side.HV, Side.HV).plate();
    assertEquals(Samples.n("46.201355"), expected(plate, "turns-ratio/HV-LV/A/1/3"));
    assertEquals(Samples.n("45.101323"), expected(plate, "turns-ratio/HV-LV/A/2/1"));
    // 11000 V + 550 V + 275 V, a setting of no step
    assertEquals(
        0,
        plate.voltage(Side.HV, new TapSetting(1, OptionalInt.of(1))).compareTo(Samples.n("11825")));
    assertEquals(
        0,
        plate.voltage(Side.LV, new TapSetting(1, OptionalInt.of(1))).compareTo(Samples.n("433")));
    assertThrows(
        IllegalArgumentException.class,
        () -> plate.voltage(Side.HV, new TapSetting(4, OptionalInt.of(1))));
  }

  @Test
  void theLineRatioIsThatOfTheVoltages() {
    Nameplate plate = two(Side.LV, Side.HV).plate();
    assertEquals(
        Samples.n("25.404157"),
        plate
            .lineRatio(TapSetting.principal(plate.tapChangers()))
            .setScale(6, RoundingMode.HALF_EVEN));
  }

  @Test
  void aWindingWithoutTapsHasItsResistanceTakenOnce() {
    List<String> resistances = resistanceIds(two(Side.HV, Side.HV).plate());
    assertTrue(resistances.contains("winding-resistance/HV/A/2/3"), resistances.toString());
    assertTrue(resistances.contains("winding-resistance/LV/A"), resistances.toString());
    resistances = resistanceIds(two(Side.LV, Side.HV).plate());
    assertTrue(resistances.contains("winding-resistance/HV/C/2/3"), resistances.toString());
    assertTrue(resistances.contains("winding-resistance/LV/C/2/3"), resistances.toString());
    SamplePlate lv = new SamplePlate().taps(Side.LV, Kind.ON_LOAD, "455", "433", "411");
    resistances = resistanceIds(lv.plate());
    assertTrue(resistances.contains("winding-resistance/HV/B"), resistances.toString());
    assertTrue(resistances.contains("winding-resistance/LV/B/2"), resistances.toString());
  }

  private static List<String> resistanceIds(Nameplate plate) {
    return TestPlan.of(plate).steps().stream()
        .map(Step::id)
        .filter(id -> id.startsWith("winding-resistance"))
        .toList();
  }

  // 44.001291 / 1.05 and / 0.95 (derived)
  @Test
  void aTapOnTheLvSideDividesTheRatio() {
    SamplePlate plate =
        new SamplePlate().taps(Side.LV, Kind.DE_ENERGISED, "454.65", "433", "411.35");
    assertEquals(Samples.n("41.905991"), expected(plate.plate(), "turns-ratio/HV-LV/C/1"));
    assertEquals(Samples.n("44.001291"), expected(plate.plate(), "turns-ratio/HV-LV/C/2"));
    assertEquals(Samples.n("46.317148"), expected(plate.plate(), "turns-ratio/HV-LV/C/3"));
  }

  @Test
  void theOrderOfThePlateIsKeptAndTheDeEnergisedTapChangerComesFirst() {
    Nameplate plate = two(Side.LV, Side.HV).plate();
    assertEquals(Kind.DE_ENERGISED, plate.tapChangers().get(0).kind());
    assertEquals(plate.tapChangers().get(0), plate.tapChanger());
    SamplePlate falling = new SamplePlate();
    falling.tapChangers =
        List.of(
            new TapChanger(
                Side.HV,
                Kind.ON_LOAD,
                List.of(new Tap(9, Samples.n("10450")), new Tap(5, Samples.n("11000"))),
                5));
    assertEquals(
        List.of(9, 9, 9, 5, 5, 5),
        TestPlan.of(falling.plate()).steps().stream()
            .filter(s -> s.test().equals(Step.TURNS_RATIO))
            .map(s -> s.tap().orElseThrow())
            .toList());
  }

  // common practice: an open tap changer breaks the current of the test
  @Test
  void stepsSayHowADeEnergisedTapChangerIsMovedAndNothingOfAnother() {
    SamplePlate plate = new SamplePlate().taps("11550", "11000", "10450");
    assertTrue(note(plate, "turns-ratio/HV-LV/A/1").startsWith(MOVED));
    assertTrue(note(plate, "winding-resistance/HV/A/2").startsWith(MOVED));
    assertEquals(
        "Wait until the current is zero before a lead comes off.",
        note(plate, "winding-resistance/LV/A"));
    SamplePlate onLoad = new SamplePlate().taps(Side.HV, Kind.ON_LOAD, "11550", "11000", "10450");
    assertEquals("", note(onLoad, "turns-ratio/HV-LV/B/1"));
    SamplePlate fixed = new SamplePlate();
    assertEquals("", note(fixed, "turns-ratio/HV-LV/B/1"));
    assertTrue(note(two(Side.LV, Side.HV), "turns-ratio/HV-LV/A/2/5").startsWith(MOVED));
  }

  private static String note(SamplePlate plate, String id) {
    return Samples.step(plate.plate(), id).note().orElse("");
  }

  @ParameterizedTest
  @CsvSource({
    "5,5,-2.5,3,11550 11275 11000 10725 10450",
    "3,-5,5,2,10450 11000 11550",
    "1,0,0,1,11000",
    "2,1.25,-1.25,2,11137.5 11000",
    "3,0.0001,-0.0001,2,11000.011 11000 10999.989"
  })
  void equalStepsAreExact(
      int positions, String first, String step, int principal, String voltages) {
    TapChanger changer = equal(Side.HV, Kind.DE_ENERGISED, positions, first, step, principal);
    assertEquals(
        voltages,
        String.join(" ", changer.taps().stream().map(t -> t.voltage().toPlainString()).toList()));
    assertEquals(principal, changer.principal());
  }

  @ParameterizedTest
  @CsvSource({
    "5,5,-2.5,2,principal position 2 comes out at 2.5 %",
    "5,5,-2.4,3,principal position 3 comes out at 0.2 %",
    "5,5,-2.5,6,principal position 6 is not among 5",
    "5,5,-2.5,0,principal position 0 is not among 5",
    "0,5,-2.5,1,not among 0 positions",
    "100,0,-0.5,1,among 100 positions"
  })
  void stepsThatMissZeroAreRefusedWithTheNumbers(
      int positions, String first, String step, int principal, String sentence) {
    IllegalArgumentException e =
        assertThrows(
            IllegalArgumentException.class,
            () -> equal(Side.HV, Kind.DE_ENERGISED, positions, first, step, principal));
    assertTrue(e.getMessage().contains(sentence), e.getMessage());
  }

  @Test
  void positionsGoTo99() {
    TapChanger changer = equal(Side.HV, Kind.ON_LOAD, 99, "24.5", "-0.5", 50);
    assertEquals("11000", changer.voltage(50).orElseThrow().toPlainString());
    assertEquals("8305", changer.voltage(99).orElseThrow().toPlainString());
    assertEquals(Optional.empty(), changer.voltage(100));
  }

  @Test
  void tapChangersThatCannotBeAreTold() {
    assertRefused("both tap changers are on-load", Kind.ON_LOAD, Kind.ON_LOAD);
    assertRefused("both tap changers are de-energised", Kind.DE_ENERGISED, Kind.DE_ENERGISED);
    assertRefused("there are 3 tap changers", Kind.ON_LOAD, Kind.DE_ENERGISED, Kind.ON_LOAD);
    SamplePlate plate = new SamplePlate();
    plate.tapChangers =
        List.of(
            new TapChanger(Side.LV, Kind.ON_LOAD, List.of(new Tap(100, Samples.n("400"))), 100));
    IllegalArgumentException e = assertThrows(IllegalArgumentException.class, plate::plate);
    assertTrue(e.getMessage().contains("tap position 100 is not 1 to 99"), e.getMessage());
    assertTrue(
        e.getMessage().contains("principal tap 100 has 400 V but the rated LV voltage is 433 V"),
        e.getMessage());
  }

  private static void assertRefused(String sentence, Kind... kinds) {
    SamplePlate plate = new SamplePlate();
    plate.tapChangers = Arrays.stream(kinds).map(k -> equal(Side.HV, k, 1, "0", "0", 1)).toList();
    IllegalArgumentException e = assertThrows(IllegalArgumentException.class, plate::plate);
    assertTrue(e.getMessage().contains(sentence), e.getMessage());
  }

  @Test
  void anEarlierRatioIsOfAStepOfThePlan() {
    SamplePlate plate = two(Side.LV, Side.HV);
    plate.earlierRatios.put("turns-ratio/HV-LV/A/2/5", Samples.n("42.9"));
    assertEquals(
        Map.of("turns-ratio/HV-LV/A/2/5", Samples.n("42.9")), plate.plate().earlierRatios());
    for (String id : List.of("turns-ratio/HV-LV/A/2", "turns-ratio/HV-LV/A/1/5", "moon")) {
      SamplePlate wrong = two(Side.LV, Side.HV);
      wrong.earlierRatios.put(id, Samples.n("-1"));
      IllegalArgumentException e = assertThrows(IllegalArgumentException.class, wrong::plate);
      assertTrue(
          e.getMessage().contains("the earlier ratio of " + id + " is of no step"), e.getMessage());
      assertTrue(
          e.getMessage().contains("earlier ratio of " + id + " is -1, not above zero"),
          e.getMessage());
    }
  }

  // whatever two tap changers a plate has, ids are unique and every position is there, once for
  // each phase, with the other tap changer on its principal position
  @Test
  void anyPlanHasEveryPositionOnce() {
    Random random = new Random(Samples.seed());
    for (int round = 0; round < Rounds.of(200); round++) {
      int positions = 1 + random.nextInt(30);
      int others = 1 + random.nextInt(9);
      int principal = 1 + random.nextInt(positions);
      int other = 1 + random.nextInt(others);
      SamplePlate sample = new SamplePlate();
      sample.tapChangers =
          List.of(
              equal(side(random), Kind.ON_LOAD, positions, upTo(principal), "-0.5", principal),
              equal(side(random), Kind.DE_ENERGISED, others, upTo(other), "-0.5", other));
      Nameplate plate = sample.plate();
      Set<String> ids = new HashSet<>();
      Set<Integer> taps = new HashSet<>();
      Set<Integer> onLoadTaps = new HashSet<>();
      for (Step step : TestPlan.of(plate).steps()) {
        assertTrue(ids.add(step.id()), step.id());
        if (step.test().equals(Step.TURNS_RATIO)) {
          int tap = step.tap().orElseThrow();
          int onLoadTap = step.onLoadTap().orElseThrow();
          assertTrue(tap == other || onLoadTap == principal, step.id());
          taps.add(tap);
          onLoadTaps.add(onLoadTap);
          assertEquals(
              "turns-ratio/HV-LV/%s/%d/%d".formatted(step.phase(), tap, onLoadTap), step.id());
          assertEquals("turns-ratio/HV-LV/%d/%d".formatted(tap, onLoadTap), step.common());
        }
      }
      assertEquals(others, taps.size());
      assertEquals(positions, onLoadTaps.size());
      assertEquals(3 * (positions + others - 1) + 6, ids.size());
    }
  }

  private static Side side(Random random) {
    return random.nextBoolean() ? Side.HV : Side.LV;
  }

  private static String upTo(int principal) {
    return new BigDecimal("0.5").multiply(BigDecimal.valueOf(principal - 1L)).toPlainString();
  }

  @Test
  void aStepWithAnOnLoadTapAloneIsRefused() {
    Step step = Samples.step(two(Side.LV, Side.HV).plate(), "turns-ratio/HV-LV/A/2/5");
    IllegalArgumentException e =
        assertThrows(
            IllegalArgumentException.class,
            () ->
                new Step(
                    step.id(),
                    step.test(),
                    step.windings(),
                    step.phase(),
                    OptionalInt.empty(),
                    OptionalInt.of(5),
                    step.terminals(),
                    step.expected(),
                    step.unit(),
                    step.note()));
    assertTrue(e.getMessage().contains("on-load tap 5 and no tap"), e.getMessage());
  }

  @Test
  void tapsAreInOrderAndInWords() {
    Nameplate plate = two(Side.LV, Side.HV).plate();
    Step first = Samples.step(plate, "turns-ratio/HV-LV/A/1/3");
    Step second = Samples.step(plate, "turns-ratio/HV-LV/A/2/1");
    Step third = Samples.step(plate, "turns-ratio/HV-LV/A/2/5");
    assertTrue(first.tapNumber() < second.tapNumber());
    assertTrue(second.tapNumber() < third.tapNumber());
    assertEquals("turns-ratio/HV-LV/A", third.onEveryTap());
    assertEquals("HV-LV A tap 2 on-load tap 5", third.inWords());
    assertEquals("HV-LV A tap 2 on-load tap 5", words(third.id()));
    assertEquals("HV-LV tap 2 on-load tap 5", words(third.common()));
    assertEquals("HV-LV A", words(third.onEveryTap()));
    assertEquals("HV-earth", words("insulation-resistance/HV-earth/ABC"));
    assertEquals("HV-LV tap 3", words("short-circuit-impedance/HV-LV/ABC/3"));
    assertEquals("LV", words("winding-resistance/LV"));
    assertEquals(Optional.empty(), TapSetting.of(Samples.step(plate(), "winding-resistance/LV/A")));
    assertFalse(TapSetting.of(third).isEmpty());
  }

  private static Nameplate plate() {
    return new SamplePlate().plate();
  }

  private static String words(String subject) {
    return Question.inWords(subject);
  }
}
