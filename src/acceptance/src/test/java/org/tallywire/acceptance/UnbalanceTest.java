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
import org.tallywire.api.Unit;

/** Three definitions, none of them standard; as read or of the phase windings. */
class UnbalanceTest {

  private static Verdict judged(
      String group, String definition, String of, String[] terminals, String... ohms) {
    Nameplate plate = Samples.plate(group, "433", Optional.empty(), List.of(), 11000);
    List<BookedReading> three = new ArrayList<>();
    for (int i = 0; i < 3; i++) {
      three.add(Samples.booked(step(terminals[i], i), i, Samples.resistanceValues(ohms[i], "75")));
    }
    return judged(plate, definition, of, three);
  }

  private static Verdict judged(
      Nameplate plate, String definition, String of, List<BookedReading> three) {
    Criterion criterion =
        Samples.criterion(
            Kind.RESISTANCE_UNBALANCE,
            "0",
            Map.of("limit", "2", "definition", definition, "of", of));
    return Samples.verdict(
        Samples.examine(
            new Examiner("set-1", plate, Samples.table(criterion)), three.get(2), three),
        "resistance-unbalance");
  }

  private static Step step(String terminals, int phase) {
    String letter = Step.PHASES.get(phase);
    return new Step(
        "winding-resistance/LV/" + letter,
        Step.WINDING_RESISTANCE,
        "LV",
        letter,
        OptionalInt.empty(),
        terminals,
        Optional.empty(),
        Unit.OHM);
  }

  private static String[] at(String... terminals) {
    return terminals;
  }

  private static final String[] LINES = at("2u-2v", "2v-2w", "2w-2u");

  // sheet 4.6 (derived)
  @ParameterizedTest
  @CsvSource({
    "range-of-mean,1.00,1.02,0.98,4.000000,of the mean",
    "farthest-from-mean,1.00,1.02,0.98,2.000000,from the mean",
    "range-of-lowest,1.00,1.02,0.98,4.081633,of the lowest",
    "range-of-mean,0.4521,0.4538,0.4609,1.931519,of the mean",
    "farthest-from-mean,0.4521,0.4538,0.4609,1.163301,from the mean",
    "range-of-lowest,0.4521,0.4538,0.4609,1.946472,of the lowest"
  })
  void byEachDefinition(
      String definition, String a, String b, String c, BigDecimal percent, String words) {
    Verdict v = judged("Dyn11", definition, "as-read", LINES, a, b, c);
    assertEquals(Optional.of(percent), v.deviation());
    assertTrue(v.sentence().contains(words), v.sentence());
    assertEquals(
        percent.compareTo(Samples.n("2")) <= 0 ? State.PASS : State.FAIL, v.state(), v.sentence());
  }

  // sheet 4.5 (derived): wye 1.00, 1.02, 0.98 reads 2.02, 2.00, 1.98 between lines
  @ParameterizedTest
  @CsvSource({"Yy0", "Dy11", "Yz1"})
  void phasesBehindLinesOfAStarOrZigzag(String group) {
    Verdict v = judged(group, "range-of-mean", "phases", LINES, "2.02", "2.00", "1.98");
    assertEquals(Optional.of(Samples.n("4.000000")), v.deviation(), v.sentence());
    assertEquals(0, v.measured().orElseThrow().compareTo(Samples.n("1.02")));
    assertEquals(0, v.expected().orElseThrow().compareTo(Samples.n("0.98")));
    assertTrue(
        v.sentence()
            .startsWith(
                "LV: resistances of the phase windings at 75 °C: U 1.00 Ω, V 1.02 Ω, W 0.98 Ω; highest"),
        v.sentence());
    assertEquals(
        List.of("B", "C"), v.findings().stream().map(Finding::phase).toList(), v.sentence());
  }

  // sheet 4.5 (derived): a delta of 0.300, 0.306, 0.303 shows half its unbalance between lines
  @Test
  void phasesBehindLinesOfADelta() {
    String[] lines = {"0.200990099010", "0.202990099010", "0.202000000000"};
    assertEquals(
        Samples.n("0.990"),
        judged("Yd1", "range-of-mean", "as-read", LINES, lines)
            .deviation()
            .orElseThrow()
            .setScale(3, RoundingMode.HALF_EVEN));
    Verdict v = judged("Yd1", "range-of-mean", "phases", LINES, lines);
    assertEquals(
        Samples.n("1.980198"), v.deviation().orElseThrow().setScale(6, RoundingMode.HALF_EVEN));
    assertTrue(v.sentence().contains("U-V 0.3"), v.sentence());
    assertTrue(v.sentence().contains("V-W 0.306"), v.sentence());
  }

  // phase A of another group is U-W: the windings follow the terminals, not the letters
  @Test
  void theTerminalsSayWhichLineIsWhich() {
    String[] turned = at("2u-2w", "2v-2u", "2w-2v");
    // 2.02 is U-V, 2.00 V-W, 1.98 W-U
    Verdict v = judged("Yy0", "range-of-mean", "phases", turned, "1.98", "2.02", "2.00");
    assertEquals(Optional.of(Samples.n("4.000000")), v.deviation(), v.sentence());
    assertTrue(v.sentence().contains("U 1.00 Ω, V 1.02 Ω, W 0.98 Ω"), v.sentence());
    // a delta with V-W high: 0.300, 0.320, 0.300; forward by Kirchhoff
    double s = 0.92;
    String vw = BigDecimal.valueOf(0.32 * 0.6 / s).toPlainString();
    String uv = BigDecimal.valueOf(0.3 * 0.62 / s).toPlainString();
    Verdict delta = judged("Yd1", "range-of-mean", "phases", turned, uv, uv, vw);
    assertEquals(State.FAIL, delta.state());
    assertEquals(
        List.of("C"), delta.findings().stream().map(Finding::phase).toList(), delta.sentence());
  }

  @Test
  void withTheNeutralOutTheReadingIsThePhase() {
    Verdict v =
        judged(
            "Dyn11",
            "range-of-mean",
            "phases",
            at("2u-2n", "2v-2n", "2n-2w"),
            "1.00",
            "1.02",
            "0.98");
    assertEquals(Optional.of(Samples.n("4.000000")), v.deviation());
    assertTrue(v.sentence().contains("A 1.00 Ω, B 1.02 Ω, C 0.98 Ω"), v.sentence());
  }

  @Test
  void linesThatNoWindingHasAreUndecided() {
    Verdict v = judged("Yy0", "range-of-mean", "phases", LINES, "2.00", "1.00", "1.00");
    assertEquals(State.UNDECIDED, v.state());
    assertTrue(v.sentence().contains("which no winding can have"), v.sentence());
    assertTrue(v.next().startsWith("Run the current down and let the winding discharge"));
    assertEquals(
        State.FAIL,
        judged("Yy0", "range-of-mean", "phases", LINES, "1.999", "1.00", "1.00").state());
    assertEquals(
        State.FAIL,
        judged("Yy0", "range-of-mean", "as-read", LINES, "2.00", "1.00", "1.00").state());
  }

  @Test
  void leadsOnOtherTerminalsAreUndecided() {
    for (String[] odd :
        List.of(
            at("2u-2v", "2v-2w", "2w-2n"),
            at("2u-2v", "2u-2v", "2w-2u"),
            at("2.1-2.2", "2v-2w", "2w-2u"),
            at("", "", ""))) {
      Verdict v = judged("Yy0", "range-of-mean", "phases", odd, "1.00", "1.00", "1.00");
      assertEquals(State.UNDECIDED, v.state());
      assertTrue(
          v.sentence().contains("the leads were on " + String.join(", ", odd)), v.sentence());
    }
  }

  @ParameterizedTest
  @CsvSource({"20,25,0", "20,25.1,1", "25.1,20,1"})
  void temperaturesOfOneWindingThatDifferAreSeen(String one, String other, int findings) {
    Nameplate plate = Samples.dyn11();
    List<BookedReading> three = new ArrayList<>();
    for (int i = 0; i < 3; i++) {
      Step step = Samples.step(plate, "winding-resistance/LV/" + Step.PHASES.get(i));
      three.add(Samples.booked(step, i, Samples.resistanceValues("0.01", i == 1 ? other : one)));
    }
    Verdict v = judged(plate, "range-of-mean", "as-read", three);
    long seen = v.findings().stream().filter(f -> f.kind() == Finding.Kind.SEEN).count();
    assertEquals(findings, seen);
  }

  @Test
  void aFailSaysWhatToDo() {
    Verdict v = judged("Dyn11", "range-of-mean", "as-read", LINES, "1.00", "1.02", "1.10");
    assertTrue(v.next().startsWith("Run the current down and let the winding discharge"), v.next());
    assertEquals("C", v.findings().get(0).phase());
  }

  // converted back and forth; permuting the phases of windings changes nothing; seeded
  @Test
  void linesMadeOfPhasesGiveThePhasesBack() {
    Random random = new Random(Samples.seed());
    for (int i = 0; i < Rounds.of(200); i++) {
      double[] p = new double[3];
      for (int k = 0; k < 3; k++) {
        p[k] = 1 + random.nextDouble() * 0.1;
      }
      boolean delta = random.nextBoolean();
      double sum = p[0] + p[1] + p[2];
      String[] lines = new String[3];
      for (int k = 0; k < 3; k++) {
        double own = p[k];
        lines[k] =
            BigDecimal.valueOf(delta ? own * (sum - own) / sum : own + p[(k + 1) % 3])
                .toPlainString();
      }
      Verdict v = judged(delta ? "Yd1" : "Yy0", "range-of-mean", "phases", LINES, lines);
      double max = Math.max(p[0], Math.max(p[1], p[2]));
      double min = Math.min(p[0], Math.min(p[1], p[2]));
      assertEquals((max - min) / sum * 300, v.deviation().orElseThrow().doubleValue(), 2e-6);
      assertEquals(max, v.measured().orElseThrow().doubleValue(), 1e-7);
      assertEquals(min, v.expected().orElseThrow().doubleValue(), 1e-7);
    }
  }
}
