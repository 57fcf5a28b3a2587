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

  /** Each kind of fault as it is written, and as people say it. */
  private static final List<List<String>> FAULTS =
      List.of(
          List.of(
              "shorted turns: {winding: HV, phase: A, turns: 24}",
              "24 turns of HV phase A are shorted"),
          List.of(
              "shorted turns: {winding: LV, phase: B, turns: 1}",
              "1 turn of LV phase B is shorted"),
          List.of("open winding: {winding: LV, phase: C}", "LV phase C is open"),
          List.of(
              "bad joint: {winding: LV, phase: C, adds: 8 %}",
              "a bad joint in LV phase C adds 8 %"),
          List.of(
              "bad joint: {winding: HV, phase: A, adds: 400 µΩ}",
              "a bad joint in HV phase A adds 400 µΩ"),
          List.of(
              "worn contact: {phase: B, position: 3, adds: 12.5 %, unsteady: 50 %}",
              "a worn contact of the tap changer in phase B, on position 3, adds 12.5 %, unsteady"
                  + " by 50 %"),
          List.of(
              "worn contact: {phase: B, position: all, adds: 2 Ω, unsteady: 0 %}",
              "a worn contact of the tap changer in phase B, on every position, adds 2 Ω, unsteady"
                  + " by 0 %"),
          List.of(
              "wrong tap: {phase: B, steps: +1}",
              "the tap changer stands 1 position above what it shows, in phase B"),
          List.of(
              "wrong tap: {steps: -2}",
              "the tap changer stands 2 positions below what it shows, in all phases"),
          List.of("reversed winding: {winding: LV, phase: A}", "LV phase A is reversed"),
          List.of(
              "residual magnetism: {phase: C, flux density: -0.8 T}",
              "the limb of phase C is left magnetised with -0.8 T"),
          List.of(
              "hot winding: {by: 25 K}", "the windings are 25 K hotter than the thermometer says"),
          List.of(
              "wrong conductor: {winding: HV, conductor: aluminium}",
              "the HV winding is of aluminium, not of what the plate says"),
          List.of(
              "wrong plate: {high voltage: 10500 V, low voltage: 415.5 V, group: Dyn1}",
              "the unit is built for HV 10500 V and LV 415.5 V and group Dyn1, not for what the"
                  + " plate says"),
          List.of(
              "wrong plate: {low voltage: 415 V}",
              "the unit is built for LV 415 V, not for what the plate says"),
          List.of(
              "swapped leads: {winding: HV, phases: A and C}",
              "the HV leads of phases A and C are swapped"),
          List.of("missing neutral: {winding: LV}", "the lead to the LV neutral makes no contact"),
          List.of(
              "drift: {quantity: resistance, per hour: -0.5 %}",
              "the tester's resistance drifts by -0.5 % an hour"),
          List.of(
              "out of calibration: {quantity: ratio, by: 0.3 %}",
              "the tester's ratio is out of calibration by 0.3 %"),
          List.of("noisy: {times: 5}", "the tester's noise is 5 times what it should be"),
          List.of("frozen display", "the display is frozen"),
          List.of("line noise: {share: 10 %}", "noise stands before 10 % of what is sent"),
          List.of("bit errors: {share: 0.01 %}", "0.01 % of the bits sent turn over"),
          List.of("lost bytes: {share: 0.2 %}", "0.2 % of the bytes sent are lost"),
          List.of("duplicates: {share: 5 %}", "5 % of what is sent goes out twice"),
          List.of("freeze", "the line is frozen"),
          List.of("unplug", "the cable is out"),
          List.of("reboot: {lasts: 4 s}", "the tester is off for 4 s and starts again"),
          List.of("store overflow: {holds: 20}", "the store holds only 20 readings"),
          List.of("wrong clock: {by: -12 min}", "the clock is 12 min slow"),
          List.of("wrong clock: {by: 1.5 s}", "the clock is 1.5 s fast"));

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
  @DisplayName("text to fault to text, and in words")
  void roundTrip(List<String> fault) throws ScenarioException {
    Planted planted = read(fault.get(0));

    assertEquals(fault.get(0), FaultText.write(planted.fault()));
    assertEquals(planted, read(FaultText.write(planted)));
    assertEquals(fault.get(1), FaultText.inWords(planted.fault()));
  }

  static List<List<String>> faults() {
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
        FAULTS.stream().map(f -> f.get(0).replaceAll(":.*", "")).collect(Collectors.toSet());

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
    assertEquals("column 23: until is not after from", told("freeze from 5 s until 5 s"));
    assertEquals(
        "column 28: times stand inside {} and after it; keep one",
        told("{freeze: , from: 5 s} from 6 s"));
    assertEquals(
        "column 24: a { further up is not closed with }, or a comma is missing before this",
        told("bad joint: {winding: LV"));
  }
}
