package org.tallywire.simulator.scenario;

import static org.junit.jupiter.api.Assertions.assertEquals;
import static org.junit.jupiter.api.Assertions.assertThrows;

import java.time.Duration;
import java.util.Arrays;
import java.util.HashSet;
import java.util.LinkedHashSet;
import java.util.List;
import java.util.Optional;
import java.util.OptionalLong;
import java.util.Set;
import java.util.stream.Collectors;
import java.util.stream.Stream;
import org.junit.jupiter.api.BeforeAll;
import org.junit.jupiter.api.DisplayName;
import org.junit.jupiter.api.Test;
import org.junit.jupiter.params.ParameterizedTest;
import org.junit.jupiter.params.provider.CsvSource;
import org.junit.jupiter.params.provider.MethodSource;
import org.tallywire.simulator.scenario.LineFault.LineNoise;
import org.tallywire.simulator.scenario.UnitFault.Addition;
import org.tallywire.simulator.scenario.UnitFault.BadJoint;

final class FaultTextTest {

  /** Each kind of fault as it is written. */
  private static final List<String> FAULTS =
      List.of(
          "shorted turns: {winding: HV, phase: A, turns: 24}",
          "shorted turns: {winding: LV, phase: B, turns: 1}",
          "open winding: {winding: LV, phase: C}",
          "bad joint: {winding: LV, phase: C, adds: 8 %}",
          "bad joint: {winding: HV, phase: A, adds: 400 µΩ}",
          "worn contact: {phase: B, position: 3, adds: 12.5 %, unsteady: 50 %}",
          "worn contact: {phase: B, position: all, adds: 2 Ω, unsteady: 0 %}",
          "wrong tap: {phase: B, steps: +1}",
          "wrong tap: {steps: -2}",
          "reversed winding: {winding: LV, phase: A}",
          "residual magnetism: {phase: C, flux density: -0.8 T}",
          "hot winding: {by: 25 K}",
          "wrong conductor: {winding: HV, conductor: aluminium}",
          "wrong plate: {high voltage: 10500 V, low voltage: 415.5 V, group: Dyn1}",
          "wrong plate: {low voltage: 415 V}",
          "swapped leads: {winding: HV, phases: A and C}",
          "missing neutral: {winding: LV}",
          "drift: {quantity: resistance, per hour: -0.5 %}",
          "out of calibration: {quantity: ratio, by: 0.3 %}",
          "noisy: {times: 5}",
          "frozen display",
          "line noise: {share: 10 %}",
          "bit errors: {share: 0.01 %}",
          "lost bytes: {share: 0.2 %}",
          "duplicates: {share: 5 %}",
          "freeze",
          "unplug",
          "reboot: {lasts: 4 s}",
          "store overflow: {holds: 20}",
          "wrong clock: {by: -12 min}",
          "wrong clock: {by: 1.5 s}");

  private static Scenario scenario;

  @BeforeAll
  static void unit() throws ScenarioException {
    scenario = ScenarioFile.parse("file", "scenario: Sound", OptionalLong.empty());
  }

  private static Planted read(String text) throws ScenarioException {
    return FaultText.read(text, scenario, Duration.ZERO);
  }

  private static String told(String text) {
    return String.valueOf(
        assertThrows(ScenarioException.class, () -> read(text), text).getMessage());
  }

  @ParameterizedTest
  @MethodSource("faults")
  @DisplayName("text to fault to text")
  void roundTrip(String fault) throws ScenarioException {
    Planted planted = read(fault);

    assertEquals(fault, FaultText.write(planted.fault()));
    assertEquals(planted, read(FaultText.write(planted)));
  }

  static List<String> faults() {
    return FAULTS;
  }

  @Test
  @DisplayName("every kind of fault that the sealed types permit is in the list, and in this test")
  void nothingForgotten() {
    Set<String> permitted =
        Stream.of(Fault.class.getPermittedSubclasses())
            .flatMap(group -> Arrays.stream(group.getPermittedSubclasses()))
            .map(kind -> Fault.word(kind.asSubclass(Fault.class)))
            .collect(Collectors.toCollection(LinkedHashSet::new));
    Set<String> tested =
        FAULTS.stream().map(f -> f.replaceAll(":.*", "")).collect(Collectors.toSet());

    assertEquals(25, permitted.size());
    assertEquals(permitted, new HashSet<>(FaultForm.BY_WORD.keySet()));
    assertEquals(permitted, tested);
  }

  @Test
  @DisplayName("times count from now")
  void times() throws ScenarioException {
    Duration now = Duration.ofSeconds(100);
    LineNoise noise = new LineNoise(0.1);
    String fault = "line noise: {share: 10 %}";

    assertEquals(planted(noise, 100), FaultText.read(fault, scenario, now));
    assertEquals(planted(noise, 120), FaultText.read(fault + " from 20 s", scenario, now));
    assertEquals(
        planted(noise, 120, 130), FaultText.read(fault + " from 20 s until 30 s", scenario, now));
    assertEquals(
        planted(noise, 120, 125), FaultText.read(fault + " from 20 s for 5 s", scenario, now));
    assertEquals(planted(noise, 100, 160), FaultText.read(fault + "  for  1 min ", scenario, now));
    assertEquals(
        planted(noise, 120, 125),
        FaultText.read("{line noise: {share: 10 %}, from: 20 s, for: 5 s}", scenario, now));
    assertEquals(
        planted(new LineFault.Freeze(), 100, 105), FaultText.read("freeze", scenario, now));
  }

  private static Planted planted(Fault fault, long from, long... until) {
    return new Planted(
        fault,
        Duration.ofSeconds(from),
        Arrays.stream(until).mapToObj(Duration::ofSeconds).findFirst());
  }

  @Test
  @DisplayName("a fault can be left to the seed")
  void drawn() throws ScenarioException {
    assertEquals(
        DrawnFault.draw("bad-joint", scenario), Optional.of(read("bad joint: drawn").fault()));
  }

  @ParameterizedTest
  @CsvSource(
      delimiter = '|',
      value = {
        "8 %|0.08|true",
        "0.1 %|0.001|true",
        "150%|1.5|true",
        "800 ppm|0.0008|true",
        "0.4 mΩ|0.0004|false",
        "0.4 mOhm|0.0004|false",
        "12 uohm|0.000012|false",
        "400 µΩ|0.0004|false",
        "1 Ω|1|false"
      })
  @DisplayName("a resistance on top is a part or in ohms")
  void adds(String text, double amount, boolean relative) throws ScenarioException {
    assertEquals(
        new BadJoint(Winding.LV, Phase.A, new Addition(amount, relative)),
        read("bad joint: {winding: LV, phase: A, adds: %s}".formatted(text)).fault());
  }

  @Test
  @DisplayName("what is wrong is told with its column")
  void wrong() {
    String write =
        "column 1: write a fault in one line, for example bad joint: {winding: LV, phase: C, adds:"
            + " 8 %}";
    assertEquals(write, told(""));
    assertEquals(write, told("freeze\nunplug"));
    assertEquals(write, told("x".repeat(1001)));
    assertEquals("column 1: names no fault", told("# no fault"));
    assertEquals(
        "column 1: faults: \"frozen\" is no fault; do you mean \"frozen display\"?",
        told("frozen"));
    assertEquals(
        "column 42: bad joint, adds: \"8\" has no unit; write for example 8 % or 0.4 mΩ",
        told("bad joint: {winding: LV, phase: C, adds: 8}"));
    assertEquals(
        "column 13: from: \"soon\" is not a time; write for example 20 s",
        told("freeze from soon"));
    assertEquals(
        "column 22: for: \"-2 s\" is out of range; write 0.001 s to 1000 h",
        told("freeze from 20 s for -2 s"));
    assertEquals(
        "column 23: until is not after from; write a time after 5 s, or for with how long it"
            + " lasts",
        told("freeze from 5 s until 5 s"));
    assertEquals(
        "column 28: times stand inside {} and after it; keep one",
        told("{freeze: , from: 5 s} from 6 s"));
    assertEquals(
        "column 24: a { further up is not closed with }, or a comma is missing before this",
        told("bad joint: {winding: LV"));
  }
}
