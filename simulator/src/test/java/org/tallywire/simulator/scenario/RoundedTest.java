package org.tallywire.simulator.scenario;

import static org.junit.jupiter.api.Assertions.assertEquals;

import java.time.Duration;
import java.util.List;
import java.util.Optional;
import org.junit.jupiter.api.Test;
import org.junit.jupiter.params.ParameterizedTest;
import org.junit.jupiter.params.provider.CsvSource;
import org.junit.jupiter.params.provider.MethodSource;
import org.tallywire.simulator.scenario.LineFault.BitErrors;
import org.tallywire.simulator.scenario.LineFault.StoreOverflow;
import org.tallywire.simulator.scenario.TesterFault.Noisy;
import org.tallywire.simulator.scenario.UnitFault.Addition;
import org.tallywire.simulator.scenario.UnitFault.BadJoint;

/** Faults as people read them. */
class RoundedTest {

  static List<String> shortOnes() {
    return FaultTextTest.faults();
  }

  @ParameterizedTest
  @MethodSource("shortOnes")
  void whatHasFewDigitsStaysAsItIs(String fault) {
    assertEquals(fault, Measure.rounded(fault));
  }

  @ParameterizedTest
  @CsvSource({
    "0.08561363596581044, true, 8.5614 %",
    "0.00041234567, false, 412.35 µΩ",
    "0.0212345678, false, 21.235 mΩ",
    "1.23456789, false, 1.2346 Ω",
    "0.0009999999, false, 1 mΩ",
  })
  void amountsHaveFiveDigits(double amount, boolean relative, String words) {
    assertEquals(
        "bad joint: {winding: LV, phase: C, adds: %s}".formatted(words),
        FaultText.inWords(new BadJoint(Winding.LV, Phase.C, new Addition(amount, relative))));
  }

  @Test
  void smallSharesTimesAndCountsAreWrittenOut() {
    assertEquals("bit errors: {share: 0.01 %}", FaultText.inWords(new BitErrors(1e-4)));
    assertEquals("noisy: {times: 3.1416}", FaultText.inWords(new Noisy(Math.PI)));
    assertEquals("store overflow: {holds: 1234567}", FaultText.inWords(new StoreOverflow(1234567)));
    assertEquals("4 s", FaultText.inWords(Duration.ofSeconds(4)));
    assertEquals(
        "noisy: {times: 5} from 12.346 s until 3723.5 s",
        FaultText.inWords(
            new Planted(
                new Noisy(5),
                Duration.ofMillis(12_346),
                Optional.of(Duration.ofMillis(3_723_456)))));
  }
}
