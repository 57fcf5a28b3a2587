package org.tallywire.acceptance;

import static org.junit.jupiter.api.Assertions.assertEquals;
import static org.junit.jupiter.api.Assertions.assertTrue;

import java.math.MathContext;
import java.math.RoundingMode;
import java.util.List;
import java.util.Map;
import java.util.Optional;
import java.util.OptionalInt;
import org.junit.jupiter.api.Test;
import org.junit.jupiter.params.ParameterizedTest;
import org.junit.jupiter.params.provider.CsvSource;
import org.tallywire.acceptance.TapChanger.Kind;
import org.tallywire.acceptance.Verdict.State;
import org.tallywire.acceptance.figure.Percent;

/** IEEE C57.12.00, 9.1 (memory): the ratio of the nearest turn. */
class RatioTurnsTest {

  private static Criterion criterion() {
    return Samples.criterion(
        Criterion.Kind.RATIO_DEVIATION, "0.1", Map.of("limit", "0.5", "nearest-turn", "true"));
  }

  private static SamplePlate plate(OptionalInt lvTurns) {
    SamplePlate plate = new SamplePlate().taps("13530", "13200", "12870");
    plate.lv = "480";
    plate.group = "Dyn1";
    plate.lvTurns = lvTurns;
    return plate;
  }

  // trade facts 1.3: 13 LV turns of 480Y/277, 13 200 V delta: 619, 604, 635 turns (derived)
  @ParameterizedTest
  @CsvSource({
    "1,635,48.84615385,13530,0.049100",
    "2,619,47.61538462,13200,-0.033618",
    "3,604,46.46153846,12870,0.045060"
  })
  void theExpectedRatioIsThatOfTheNearestTurn(
      String tap, String hvTurns, String ratio, String hv, String fromPlate) {
    RatioBench bench = new RatioBench(plate(OptionalInt.of(13)).plate(), criterion());
    Verdict v = bench.judged("A/" + tap, ratio);
    assertEquals(
        Samples.n(ratio).setScale(6, RoundingMode.HALF_EVEN),
        v.expected().orElseThrow().setScale(6, RoundingMode.HALF_EVEN));
    assertEquals(0, v.deviation().orElseThrow().setScale(4, RoundingMode.HALF_EVEN).signum());
    assertTrue(
        v.sentence().contains("(limit ±0.5 %; " + hvTurns + " to 13 turns, the nearest)"),
        v.sentence());
    // how far the whole turns are from the plate's voltages
    assertEquals(
        Samples.n(fromPlate),
        Percent.off(
                Samples.n(hvTurns).divide(Samples.n("13"), MathContext.DECIMAL128),
                bench.expected("A/" + tap))
            .setScale(6, RoundingMode.HALF_EVEN),
        hv);
  }

  // one turn has more than 0.5 % of the voltage below 200 turns
  @ParameterizedTest
  @CsvSource({"199,true", "200,false"})
  void manyTurnsAreNotCounted(int turns, boolean counted) {
    RatioBench bench = new RatioBench(plate(OptionalInt.of(turns)).plate(), criterion());
    assertEquals(counted, bench.judgedOff("A/2", "0").sentence().contains("turns, the nearest"));
  }

  // 660 V to 480 V, 13 LV turns: 30.96 HV turns, nearest 31: half a turn is 1.6129 %
  @ParameterizedTest
  @CsvSource({"1.50,PASS", "1.52,CONDITIONAL_PASS", "1.62,CONDITIONAL_FAIL", "1.72,FAIL"})
  void halfATurnIsTheLimitWhereItIsMore(String percent, State state) {
    SamplePlate plate = plate(OptionalInt.of(13));
    plate.tapChangers = List.of();
    plate.hv = "660";
    RatioBench bench = new RatioBench(plate.plate(), criterion());
    String measured =
        Samples.n("31")
            .multiply(Samples.n("1").add(Samples.n(percent).movePointLeft(2)))
            .divide(Samples.n("13"), 9, RoundingMode.HALF_EVEN)
            .toPlainString();
    Verdict v = bench.judged("B/1", measured);
    assertEquals(state, v.state(), v.sentence());
    assertEquals(Samples.n("1.61290"), v.limit());
  }

  @Test
  void aPlateWithoutLvTurnsIsSaidToHaveNone() {
    RatioBench bench = new RatioBench(plate(OptionalInt.empty()).plate(), criterion());
    assertTrue(
        bench
            .judgedOff("A/2", "0")
            .sentence()
            .endsWith(
                "(limit ±0.5 %; the plate states no LV turns to find the nearest turn by): pass."));
  }

  @Test
  void aTableThatDoesNotAskForItIsNotAffected() {
    RatioBench bench =
        new RatioBench(plate(OptionalInt.of(13)).plate(), Samples.ratioDeviation("0.5", false));
    assertTrue(
        bench.judgedOff("A/2", "0").sentence().endsWith("from 47.6314 (limit ±0.5 %): pass."));
  }

  // 20 LV turns at 400 V, 21 at 420 V; 11000 V delta: 952.63 turns, nearest 953 (derived)
  @Test
  void lvTapsHaveWholeTurnsToo() {
    SamplePlate plate = new SamplePlate().taps(Side.LV, Kind.DE_ENERGISED, "380", "400", "421");
    plate.lvTurns = OptionalInt.of(20);
    RatioBench bench = new RatioBench(plate.plate(), criterion());
    assertTrue(bench.judgedOff("A/2", "0").sentence().contains("953 to 20 turns"));
    assertTrue(bench.judgedOff("A/3", "0").sentence().contains("953 to 21 turns"));
    assertTrue(bench.judgedOff("A/1", "0").sentence().contains("953 to 19 turns"));
    assertEquals(Samples.n("45.380952"), bench.judgedOff("A/3", "0").expected().orElseThrow());
  }

  @Test
  void theBasisOfTheRatioStays() {
    SamplePlate plate = plate(OptionalInt.of(13));
    RatioBench bench = new RatioBench(plate.plate(), RatioBasis.LINE, criterion());
    // 619 / 13 by the square root of 3
    assertEquals(Optional.of(Samples.n("27.490755")), bench.judgedOff("A/2", "0").expected());
  }
}
