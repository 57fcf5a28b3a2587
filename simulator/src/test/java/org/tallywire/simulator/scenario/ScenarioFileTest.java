package org.tallywire.simulator.scenario;

import static org.junit.jupiter.api.Assertions.assertEquals;
import static org.junit.jupiter.api.Assertions.assertThrows;

import java.io.IOException;
import java.nio.charset.StandardCharsets;
import java.nio.file.Files;
import java.nio.file.Path;
import java.time.Duration;
import java.time.Instant;
import java.util.List;
import java.util.Optional;
import java.util.OptionalLong;
import java.util.stream.Stream;
import org.junit.jupiter.api.DisplayName;
import org.junit.jupiter.api.Test;
import org.junit.jupiter.api.io.TempDir;
import org.junit.jupiter.params.ParameterizedTest;
import org.junit.jupiter.params.provider.MethodSource;
import org.tallywire.simulator.physics.Material;
import org.tallywire.simulator.scenario.LineFault.Freeze;
import org.tallywire.simulator.scenario.LineFault.LineNoise;
import org.tallywire.simulator.scenario.LineFault.Reboot;
import org.tallywire.simulator.scenario.LineFault.Unplug;
import org.tallywire.simulator.scenario.Plate.Taps;
import org.tallywire.simulator.scenario.TesterPlan.Language;
import org.tallywire.simulator.scenario.UnitFault.Addition;
import org.tallywire.simulator.scenario.UnitFault.BadJoint;

final class ScenarioFileTest {

  /** The unit of the README, written once more by hand. */
  private static final Plate HL_0231 =
      new Plate(
          "HL-0231",
          250,
          11_000,
          433,
          Group.of("Dyn11"),
          50,
          new Taps(Winding.HV, 5, 2.5, 3),
          4.5,
          Material.COPPER,
          Material.ALUMINIUM);

  /** What the tester of version 0.1.0 was. */
  private static final TesterPlan USUAL =
      new TesterPlan(Language.LINE, 0.03, 0.1, 0.2, 40, 1, 10, 50, 0.02, 0, 1);

  @TempDir Path folder;

  private static Scenario parse(String text) throws ScenarioException {
    return ScenarioFile.parse("file", text, OptionalLong.empty());
  }

  @ParameterizedTest
  @MethodSource("names")
  @DisplayName("each shipped scenario can be read, tells what it is about and plants something")
  void shippedScenario(String name) throws ScenarioException, IOException {
    Scenario scenario = ScenarioFile.read(name, OptionalLong.empty());

    assertEquals(false, scenario.name().equals(name + ".yaml"), "has a name");
    assertEquals(true, scenario.about().length() > 100, "tells what it is about");
    assertEquals(
        List.of("large-unit", "residual-magnetism").contains(name), scenario.planted().isEmpty());
    assertEquals(scenario, read(Path.of("scenarios", name + ".yaml")));
    assertEquals(
        true,
        Files.readString(Path.of("scenarios", name + ".yaml")).startsWith("# Invented:"),
        "is marked as invented");
  }

  static List<String> names() {
    return ScenarioFile.shipped();
  }

  @Test
  @DisplayName("the list of shipped scenarios is what stands in the folder")
  void listIsComplete() throws IOException {
    try (Stream<Path> files = Files.list(Path.of("scenarios"))) {
      assertEquals(
          ScenarioFile.shipped().stream().map(name -> name + ".yaml").sorted().toList(),
          files.map(file -> file.getFileName().toString()).sorted().toList());
    }
  }

  @Test
  @DisplayName("the README's demo: its unit, and what --fault bad-joint --seed 1 draws")
  void hollowLane() throws ScenarioException {
    Scenario scenario = ScenarioFile.read("hollow-lane", OptionalLong.empty());

    assertEquals(1, scenario.seed());
    assertEquals(HL_0231, scenario.plate());
    assertEquals(USUAL, scenario.tester());
    assertEquals(Optional.empty(), scenario.celsius());
    assertEquals(
        List.of(Planted.usual(DrawnFault.draw("bad-joint", scenario).orElseThrow(), Duration.ZERO)),
        scenario.planted());
  }

  @Test
  @DisplayName("another seed draws another joint")
  void seedFromOutside() throws ScenarioException {
    Scenario other = ScenarioFile.read("hollow-lane", OptionalLong.of(4));

    assertEquals(4, other.seed());
    assertEquals("LV B", other.planted().get(0).fault().place());
  }

  @Test
  @DisplayName("everything may be left out")
  void almostNothing() throws ScenarioException {
    Scenario scenario = parse("scenario: Sound");

    assertEquals(
        new Scenario("Sound", "", 1, Optional.empty(), HL_0231, Optional.empty(), USUAL, List.of()),
        scenario);
    assertEquals("file", parse("seed: 5").name());
  }

  @Test
  @DisplayName("everything may be written")
  void everything() throws ScenarioException {
    Scenario scenario =
        parse(
            """
            scenario: A unit for farms
            about: Invented.
            seed: 12
            starts at: 2026-03-02 08:00
            transformer:
              serial: 0231
              power: 25 kVA
              group: Ii6
              high voltage: 12\u2009700 V
              low voltage: 0.24 kV
              frequency: 60 Hz
              impedance: 3 %
              taps: {winding: LV, positions: 3, step: 5 %, principal: 2}
              high voltage conductor: aluminium
              low voltage conductor: copper
              temperature: \u22124.5 °C
            tester:
              speaks: talk-only
              accuracy: {ratio: 500 ppm, resistance: 0.2 %, other: 1 %}
              test voltage: 80 V
              test current: {HV: 100 mA, LV: 20 A}
              compliance voltage: 24 V
              lead resistance: 15 mOhm
              warm-up: 90 s
              rounds: 3
            """);

    assertEquals(Optional.of(Instant.parse("2026-03-02T08:00:00Z")), scenario.startsAt());
    assertEquals(
        new Plate(
            "0231",
            25,
            12_700,
            240,
            Group.of("Ii6"),
            60,
            new Taps(Winding.LV, 3, 5, 2),
            3,
            Material.ALUMINIUM,
            Material.COPPER),
        scenario.plate());
    assertEquals(Optional.of(-4.5), scenario.celsius());
    assertEquals(
        new TesterPlan(Language.TALK_ONLY, 0.05, 0.2, 1, 80, 0.1, 20, 24, 0.015, 1.5, 3),
        scenario.tester());
    assertEquals(
        new TesterPlan(Language.SCPI, 0.05, 0.2, 1, 80, 0.1, 20, 24, 0.015, 1.5, 3),
        scenario.speaking(Language.SCPI).tester(),
        "another language changes nothing else");
  }

  @Test
  @DisplayName("a fault begins at 0 and stays, unless times are written; some have a usual length")
  void times() throws ScenarioException {
    Scenario scenario =
        parse(
            """
            faults:
              - bad joint: {winding: LV, phase: C, adds: 0.4 mΩ}
              - line noise:
                  share: 10 %
                from: 20 s
                until: 2 min
              - unplug: {}
                from: 1 s
              - freeze
              - reboot from 1 min
              - freeze:
                from: 10 s
                for: 500 ms
            """);

    assertEquals(
        List.of(
            planted(new BadJoint(Winding.LV, Phase.C, new Addition(0.0004, false)), 0, 0),
            planted(new LineNoise(0.1), 20_000, 120_000),
            planted(new Unplug(), 1000, 3000),
            planted(new Freeze(), 0, 5000),
            planted(new Reboot(Duration.ofSeconds(5)), 60_000, 0),
            planted(new Freeze(), 10_000, 10_500)),
        scenario.planted());
  }

  private static Planted planted(Fault fault, long fromMillis, long untilMillis) {
    return new Planted(
        fault,
        Duration.ofMillis(fromMillis),
        untilMillis == 0 ? Optional.empty() : Optional.of(Duration.ofMillis(untilMillis)));
  }

  @Test
  @DisplayName("on a single-phase unit the phase goes without saying")
  void singlePhase() throws ScenarioException {
    Scenario scenario =
        parse(
            """
            transformer: {serial: S, power: 25 kVA, group: Ii0, high voltage: 11 kV,
              low voltage: 240 V}
            faults: [open winding: {winding: HV}]
            """);

    assertEquals("HV A", scenario.planted().get(0).fault().place());
  }

  @Test
  @DisplayName("a file that cannot be read at all is told in a sentence")
  void unreadable() throws IOException {
    Path large = Files.writeString(folder.resolve("large.yaml"), "# " + "x".repeat(100_000));
    Path latin = folder.resolve("latin.yaml");
    Files.write(latin, "about: 16 °C".getBytes(StandardCharsets.ISO_8859_1));
    Path missing = folder.resolve("missing.yaml");

    assertEquals(large + ": 100002 bytes; a scenario has at most 100000", told(large));
    assertEquals(latin + ": is not UTF-8 text; save it as UTF-8 in the editor", told(latin));
    assertEquals(missing + ": there is no such file", told(missing));
    assertEquals(true, told(folder).startsWith(folder + ": cannot be read: "), told(folder));
  }

  private static Scenario read(Path file) throws ScenarioException {
    return ScenarioFile.read(file.toString(), OptionalLong.empty());
  }

  private static String told(Path file) {
    return String.valueOf(assertThrows(ScenarioException.class, () -> read(file)).getMessage());
  }

  @Test
  @DisplayName("a byte order mark and Windows line ends do no harm")
  void fromWindows() throws IOException, ScenarioException {
    Path file = Files.writeString(folder.resolve("w.yaml"), "\ufeffseed: 3\r\nabout: x\r\n");

    assertEquals(3, read(file).seed());
  }

  @Test
  void unknownName() {
    assertEquals(
        "hollow_lane: there is no such file and no scenario of that name inside this program; do you"
            + " mean \"hollow-lane\"? there are "
            + String.join(", ", ScenarioFile.shipped()),
        assertThrows(ScenarioException.class, () -> read(Path.of("hollow_lane"))).getMessage());
  }
}
