package org.tallywire.acceptance;

import static org.junit.jupiter.api.Assertions.assertEquals;
import static org.junit.jupiter.api.Assertions.assertThrows;
import static org.junit.jupiter.api.Assertions.assertTrue;

import java.math.BigDecimal;
import java.util.List;
import java.util.Optional;
import java.util.OptionalInt;
import org.junit.jupiter.api.Test;
import org.junit.jupiter.params.ParameterizedTest;
import org.junit.jupiter.params.provider.CsvSource;
import org.tallywire.acceptance.Nameplate.ResistanceReference;
import org.tallywire.acceptance.Rule.Certainty;
import org.tallywire.acceptance.TapChanger.Kind;
import org.tallywire.acceptance.TapChanger.Tap;
import org.tallywire.acceptance.resistance.Conductor;

/** Every figure of an expectation is worked out by hand beside it. */
class PlausibilityTest {

  private static SamplePlate likely() {
    return new SamplePlate().taps("11550", "11275", "11000", "10725", "10450");
  }

  private static List<Doubt> of(SamplePlate plate) {
    return Plausibility.of(plate.plate());
  }

  private static Doubt only(SamplePlate plate) {
    List<Doubt> doubts = of(plate);
    assertEquals(1, doubts.size(), doubts::toString);
    return doubts.get(0);
  }

  private static void says(SamplePlate plate, String... words) {
    Doubt doubt = only(plate);
    for (String word : words) {
      assertTrue(doubt.sentence().contains(word), doubt::toString);
    }
  }

  @Test
  void aLikelyPlateHasNoDoubts() {
    SamplePlate plate = likely();
    plate.hvCurrent = Optional.of("26.2");
    plate.lvCurrent = Optional.of("667");
    plate.noLoadCurrent = Optional.of("0.8");
    assertEquals(List.of(), of(plate));
  }

  // 500 kVA / (√3 · 11000 V) = 26.2432 A; times √3 45.4545, by √3 15.1515, times 3 78.7296
  @ParameterizedTest
  @CsvSource({
    "45.45,√3 times that",
    "15.15,by √3",
    "78.7,3 times that",
    "262.4,10 times that",
    "2.62,0.1 times that",
    "30,26.2432 A"
  })
  void aCurrentThatPowerAndVoltageDoNotMakeIsDoubted(String amperes, String word) {
    SamplePlate plate = likely();
    plate.hvCurrent = Optional.of(amperes);
    says(plate, word, "S / (√3·U)", amperes);
  }

  // 2 % of 26.2432 A is 0.5249 A; a plate that rounds to whole amperes may be half of one off
  @ParameterizedTest
  @CsvSource({"26.7,0", "26.8,1", "26,0", "25.7,1"})
  void aCurrentMayBeTwoPercentOff(String amperes, int doubts) {
    SamplePlate plate = likely();
    plate.hvCurrent = Optional.of(amperes);
    assertEquals(doubts, of(plate).size());
  }

  // 5 kVA / 7200 V = 0.69444 A; a plate says 0.7, that is 0.8 % more, and 1 for 0.694 is rounded
  @ParameterizedTest
  @CsvSource({"0.7,0", "1,0", "1.20,1"})
  void singlePhaseIsPowerByVoltage(String amperes, int doubts) {
    SamplePlate plate = new SamplePlate();
    plate.group = "Ii0";
    plate.power = "5";
    plate.hv = "7200";
    plate.lv = "240";
    plate.hvCurrent = Optional.of(amperes);
    assertEquals(doubts, of(plate).size(), () -> of(plate).toString());
  }

  @Test
  void aCurrentNotAboveZeroIsRefused() {
    SamplePlate plate = likely();
    plate.lvCurrent = Optional.of("0");
    String message = assertThrows(IllegalArgumentException.class, plate::plate).getMessage();
    assertTrue(String.valueOf(message).contains("the LV current is 0 A, not above zero"), message);
  }

  // 277 V · √3 = 479.8 V
  @Test
  void aVoltageThatIsUsualToNeutralIsDoubtedInAStarAlone() {
    SamplePlate plate = likely();
    plate.lv = "277";
    says(plate, "277 V", "479.8 V");
    plate.group = "Dd0";
    plate.lv = "240";
    assertEquals(List.of(), of(plate));
  }

  // 500 kVA at 11 V: 26243.2 A; at 0.433 V: 666686 A
  @Test
  void kilovoltsAreDoubted() {
    SamplePlate plate = new SamplePlate();
    plate.hv = "11";
    plate.lv = "0.433";
    List<Doubt> doubts = of(plate);
    assertEquals(
        List.of("HV voltage", "LV voltage", "LV voltage"),
        doubts.stream().map(Doubt::about).toList());
    assertTrue(doubts.get(2).sentence().contains("666686 A"), doubts::toString);
  }

  @ParameterizedTest
  @CsvSource({
    "Dy11,433,no LV neutral",
    "Dyn3,433,none of the usual",
    "Yd1,3300,tied together",
    "Dyn11,11000,isolating"
  })
  void theGroupIsHeldAgainstNeutralsAndUse(String group, String lv, String word) {
    SamplePlate plate = likely();
    plate.group = group;
    plate.lv = lv;
    if (lv.equals("11000")) {
      plate.tapChangers = List.of();
    }
    says(plate, word);
  }

  @Test
  void whatComesFromAStandardSaysHowSure() {
    SamplePlate plate = likely();
    plate.group = "Dyn3";
    assertEquals(Certainty.MEMORY, only(plate).rule().certainty());
    plate.group = "Dyn11";
    plate.frequency = "55";
    assertEquals(Certainty.PRACTICE, only(plate).rule().certainty());
  }

  @ParameterizedTest
  @CsvSource({"0.04,1", "1.4,1", "1.5,0", "10,0", "10.1,1"})
  void impedanceHasAUsualRange(String percent, int doubts) {
    SamplePlate plate = likely();
    plate.impedance = Optional.of(percent);
    assertEquals(doubts, of(plate).size());
  }

  @ParameterizedTest
  @CsvSource({"0.04,1", "0.05,0", "10,0", "26.2,1"})
  void noLoadCurrentHasAUsualRange(String percent, int doubts) {
    SamplePlate plate = likely();
    plate.noLoadCurrent = Optional.of(percent);
    assertEquals(doubts, of(plate).size());
  }

  @ParameterizedTest
  @CsvSource({"75,0", "85,0", "85.0,0", "20,0", "57,1", "-40,1"})
  void referenceTemperaturesAreUsualOnes(String celsius, int doubts) {
    SamplePlate plate = likely();
    plate.referenceTemperature = celsius;
    assertEquals(doubts, of(plate).size());
  }

  @Test
  void aluminiumOutsideOfCopperIsDoubted() {
    SamplePlate plate = likely();
    plate.hvConductor = Conductor.ALUMINIUM;
    plate.lvConductor = Conductor.COPPER;
    says(plate, "HV is of aluminium and LV of copper");
  }

  // 480 V / √3 = 277.1 V; by 13 turns 21.3 V a turn (trade check value), by 1300 turns 0.213;
  // √500 = 22.4, so 2.2 to 45 V a turn are usual
  @ParameterizedTest
  @CsvSource({"13,0", "1300,1", "5,1"})
  void turnsAreHeldAgainstThePower(int turns, int doubts) {
    SamplePlate plate = likely();
    plate.lv = "480";
    plate.lvTurns = OptionalInt.of(turns);
    assertEquals(doubts, of(plate).size(), () -> of(plate).toString());
  }

  // delta, between lines: 1.5 · 26.2432² · 5.228 Ω = 5400.8 W, that is 1.08 % of 500 kVA
  // star to neutral: 3 · 666.686² · 0.0029 Ω = 3866.9 W, 0.773 %
  @ParameterizedTest
  @CsvSource({"HV,5.228,0", "HV,5228,1", "HV,0.05,1", "LV,0.0029,0", "LV,2.9,1"})
  void referencesAreHeldAgainstTheHeatTheyMake(String side, String ohms, int doubts) {
    SamplePlate plate = likely();
    plate.references = List.of(new ResistanceReference(side, "A", new BigDecimal(ohms)));
    assertEquals(doubts, of(plate).size());
    if (ohms.equals("5228")) {
      says(plate, "1080 %");
    }
  }

  @Test
  void stepsOfTapsAreRegular() {
    // steps −275, −725, 175, −275: the mean is −275
    says3(likelyTaps("11550", "11275", "10550", "10725", "10450"));
    // 13800 V in 2.5 % steps of 345 V
    assertEquals(
        List.of(), of(new SamplePlate().taps("14490", "14145", "13800", "13455", "13110")));
    // 433 V in 2.5 % steps, rounded to whole volts: −11, −11, −11, −10, mean −10.75
    SamplePlate low =
        new SamplePlate().taps(Side.LV, Kind.DE_ENERGISED, "455", "444", "433", "422", "412");
    assertEquals(List.of(), of(low));
    SamplePlate alike = new SamplePlate().taps("11275", "11000", "11000");
    assertTrue(of(alike).get(0).sentence().contains("taps 2 and 3 have one voltage, 11000 V"));
  }

  private static SamplePlate likelyTaps(String... voltages) {
    SamplePlate plate = new SamplePlate();
    plate.hv = voltages[2];
    plate.tapChangers = List.of(SamplePlate.changer(Side.HV, Kind.DE_ENERGISED, 3, voltages));
    return plate;
  }

  private static void says3(SamplePlate plate) {
    List<String> sentences = of(plate).stream().map(Doubt::sentence).toList();
    assertEquals(2, sentences.size(), sentences::toString);
    assertTrue(sentences.get(0).contains("from tap 2 to tap 3 is -725 V"), sentences::toString);
    assertTrue(sentences.get(1).contains("from tap 3 to tap 4 is 175 V"), sentences::toString);
  }

  @Test
  void positionsAndPrincipalAreWhereTheyUsuallyAre() {
    SamplePlate plate = new SamplePlate();
    plate.tapChangers =
        List.of(
            new TapChanger(
                Side.HV,
                Kind.DE_ENERGISED,
                List.of(
                    new Tap(1, new BigDecimal("11000")),
                    new Tap(2, new BigDecimal("10725")),
                    new Tap(4, new BigDecimal("10450"))),
                1));
    List<String> sentences = of(plate).stream().map(Doubt::sentence).toList();
    assertEquals(2, sentences.size(), sentences::toString);
    assertTrue(sentences.get(0).contains("[1, 2, 4]"), sentences::toString);
    assertTrue(sentences.get(1).contains("principal tap 1 stands at the end of 3"));
  }

  // 13750 V is 25 % above 11000 V
  @Test
  void aTapFarFromTheRatedVoltageIsDoubted() {
    List<Doubt> doubts = of(new SamplePlate().taps("13750", "11000", "8250"));
    assertTrue(doubts.get(0).sentence().contains("tap 1 with 13750 V is 25"), doubts::toString);
    assertTrue(doubts.get(1).sentence().contains("tap 3 with 8250 V is -25"), doubts::toString);
  }

  // 418 V / 433 V = 0.965358
  @Test
  void aRatioBelowOneOnATapIsDoubted() {
    SamplePlate plate = new SamplePlate().taps("462", "440", "418");
    Doubt last = of(plate).get(of(plate).size() - 1);
    assertTrue(last.sentence().contains("On tap 3 the ratio is 0.965358"), last::toString);
  }
}
