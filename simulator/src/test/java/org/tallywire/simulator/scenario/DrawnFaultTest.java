package org.tallywire.simulator.scenario;

import static org.junit.jupiter.api.Assertions.assertEquals;
import static org.junit.jupiter.api.Assertions.assertThrows;
import static org.junit.jupiter.api.Assertions.assertTrue;

import java.time.Duration;
import java.util.List;
import java.util.Optional;
import java.util.OptionalLong;
import java.util.Random;
import org.junit.jupiter.api.DisplayName;
import org.junit.jupiter.api.Test;
import org.junit.jupiter.params.ParameterizedTest;
import org.junit.jupiter.params.provider.ValueSource;
import org.tallywire.simulator.physics.Steel;
import org.tallywire.simulator.scenario.UnitFault.Addition;
import org.tallywire.simulator.scenario.UnitFault.BadJoint;
import org.tallywire.simulator.scenario.UnitFault.ResidualMagnetism;
import org.tallywire.simulator.scenario.UnitFault.ShortedTurns;

final class DrawnFaultTest {

  private static final String SOUND = "scenario: Sound";

  private static Scenario scenario(String text, long seed) throws ScenarioException {
    return ScenarioFile.parse("file", text, OptionalLong.of(seed));
  }

  private static String unit(String group, String taps) {
    return """
        transformer: {serial: S, power: 5 kVA, group: %s, high voltage: 3.3 kV,
          low voltage: 200 V%s}
        """
        .formatted(group, taps);
  }

  @Test
  @DisplayName("words: none and every fault with dashes")
  void words() {
    assertEquals(26, DrawnFault.words().size());
    assertEquals(
        List.of("none", "shorted-turns", "open-winding", "bad-joint"),
        DrawnFault.words().subList(0, 4));
  }

  @Test
  @DisplayName("joints and shorted turns are those of version 0.1.0, whose formulas stand here")
  void asBefore() throws ScenarioException {
    for (long seed = 0; seed <= 1000; seed++) {
      Scenario scenario = scenario(SOUND, seed);
      Random first = Scenario.random(seed, "fault");
      Phase phase = Phase.ofLimb(first.nextInt(3));
      double share = 0.06 + 0.09 * first.nextDouble();
      assertEquals(
          Optional.of(new BadJoint(Winding.LV, phase, new Addition(share, true))),
          DrawnFault.draw("bad-joint", scenario));
      Random second = Scenario.random(seed, "fault");
      second.nextInt(3);
      assertEquals(
          Optional.of(new ShortedTurns(Winding.HV, phase, 20 + second.nextInt(9))),
          DrawnFault.draw("shorted-turns", scenario));
    }
  }

  @Test
  @DisplayName("no more is left in a limb than the steel keeps without a current")
  void residualMagnetism() throws ScenarioException {
    double keeps = Steel.GRAIN_ORIENTED.mostResidualTesla();
    assertEquals(keeps, FaultEntry.MOST_RESIDUAL_TESLA, 0.001);
    assertTrue(FaultEntry.MOST_RESIDUAL_TESLA <= keeps, "keeps " + keeps);
    double most = 0;
    for (long seed = 0; seed < 200; seed++) {
      Fault fault = DrawnFault.draw("residual-magnetism", scenario(SOUND, seed)).orElseThrow();
      most = Math.max(most, Math.abs(((ResidualMagnetism) fault).tesla()));
    }
    assertTrue(most > 1.03 && most <= 1.05, "most " + most);
  }

  @ParameterizedTest
  @ValueSource(strings = {"usual", "small", "single-phase"})
  @DisplayName("whatever is drawn can be written in a file, and is read as the same")
  void withinWhatCanBeWritten(String which) throws ScenarioException {
    String taps = ", taps: {positions: 3, step: 5 %, principal: 2}";
    String text =
        switch (which) {
          case "small" -> unit("Yzn5", taps);
          case "single-phase" -> unit("Ii0", taps);
          default -> SOUND;
        };
    for (long seed = 0; seed < 60; seed++) {
      Scenario scenario = scenario(text, seed);
      for (String word : FaultForm.BY_WORD.keySet()) {
        if (which.equals("single-phase")
            && List.of("swapped leads", "missing neutral").contains(word)) {
          continue;
        }
        Fault fault = DrawnFault.draw(Fault.dashed(word), scenario).orElseThrow();
        String line = FaultText.write(fault);
        assertEquals(
            fault, FaultText.read(line, scenario, Duration.ZERO).fault(), line + ", seed " + seed);
        assertEquals(word, fault.word());
      }
    }
  }

  @Test
  @DisplayName("what the unit cannot have is not drawn")
  void impossible() throws ScenarioException {
    Scenario plain = scenario(unit("Ii0", ""), 1);

    assertEquals("the transformer has no taps", told("worn-contact", plain));
    assertEquals("the transformer has no taps", told("wrong-tap", plain));
    assertEquals("a single-phase unit has no leads to swap", told("swapped-leads", plain));
    assertEquals("no neutral is brought out with group Ii0", told("missing-neutral", plain));
    assertEquals(
        "\"bad joint\" is no fault; do you mean \"bad-joint\"? the faults are "
            + String.join(", ", DrawnFault.words()),
        told("bad joint", plain));
    assertEquals(Optional.empty(), DrawnFault.draw("none", plain));
  }

  private static String told(String word, Scenario scenario) {
    return String.valueOf(
        assertThrows(ScenarioException.class, () -> DrawnFault.draw(word, scenario)).getMessage());
  }
}
