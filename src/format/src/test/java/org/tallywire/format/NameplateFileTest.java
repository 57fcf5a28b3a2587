package org.tallywire.format;

import static org.junit.jupiter.api.Assertions.assertEquals;
import static org.junit.jupiter.api.Assertions.assertThrows;
import static org.junit.jupiter.api.Assertions.assertTrue;

import java.io.IOException;
import java.math.BigDecimal;
import java.nio.file.Files;
import java.nio.file.Path;
import java.util.List;
import java.util.Map;
import java.util.Optional;
import java.util.OptionalInt;
import java.util.Set;
import java.util.regex.Matcher;
import java.util.regex.Pattern;
import java.util.stream.Stream;
import org.junit.jupiter.api.DisplayName;
import org.junit.jupiter.api.Test;
import org.junit.jupiter.api.io.TempDir;
import org.tallywire.acceptance.CoreForm;
import org.tallywire.acceptance.Nameplate;
import org.tallywire.acceptance.PlanOptions;
import org.tallywire.acceptance.PlanOptions.TestKind;
import org.tallywire.acceptance.RatioBasis;
import org.tallywire.acceptance.Side;
import org.tallywire.acceptance.TapChanger;
import org.tallywire.acceptance.TapChanger.Kind;
import org.tallywire.acceptance.TapChanger.Tap;

class NameplateFileTest {

  private static final String PLATE =
      """
      asset: HL-0231
      group: Dyn11
      rated-power: 250
      hv-voltage: 11000
      lv-voltage: 433
      frequency: 50
      taps:
        - {position: 1, voltage: 11550}
        - {position: 2, voltage: 11000}
      principal-tap: 2
      hv-conductor: copper
      lv-conductor: aluminium
      impedance-percent: 4.50
      """;

  @TempDir private Path folder;

  @Test
  @DisplayName("Rated currents may be stated, and are above zero")
  void currents() throws Exception {
    assertEquals(Optional.empty(), read(PLATE).hvCurrent());
    Nameplate plate = read(PLATE + "hv-current: 13.10\nlv-current: 333\n");
    assertEquals(Optional.of(new BigDecimal("13.10")), plate.hvCurrent());
    assertEquals(Optional.of(new BigDecimal("333")), plate.lvCurrent());
    SetupException none =
        assertThrows(SetupException.class, () -> read(PLATE + "lv-current: -1\n"));
    assertTrue(none.getMessage().contains("the LV current is -1 A"), none::getMessage);
  }

  @Test
  @DisplayName("A plate is read exactly as written")
  void reads() throws Exception {
    Nameplate plate = read(PLATE);
    assertEquals("HL-0231", plate.asset());
    assertEquals(new BigDecimal("4.50"), plate.impedancePercent().orElseThrow());
    assertEquals(
        List.of(
            new TapChanger(
                Side.HV,
                Kind.DE_ENERGISED,
                List.of(new Tap(1, new BigDecimal("11550")), new Tap(2, new BigDecimal("11000"))),
                2)),
        plate.tapChangers());
    assertEquals(BigDecimal.valueOf(75), plate.referenceTemperature());
    assertEquals(CoreForm.THREE_LIMB, plate.core());
    assertEquals(OptionalInt.empty(), plate.lvTurns());
    assertEquals(Map.of(), plate.earlierRatios());
  }

  private static final String TWO_CHANGERS =
      PLATE.substring(0, PLATE.indexOf("taps:"))
          + """
          hv-conductor: copper
          lv-conductor: aluminium
          tap-changers:
            - {side: HV, kind: on-load, positions: 17, first-percent: 10, step-percent: -1.25, principal: 9}
            - side: LV
              kind: de-energised
              principal: 2
              taps: [{position: 1, voltage: 454.65}, {position: 2, voltage: 433}]
          no-load-current-percent: 0.8
          lv-turns: 23
          core: five-limb
          earlier-ratios:
            - {phase: A, tap: 2, on-load-tap: 9, ratio: 44.0105}
            - {phase: B, tap: 1, on-load-tap: 9, ratio: 41.9021}
          """;

  @Test
  @DisplayName("Two tap changers, one by equal steps and one by its voltages, and all other keys")
  void twoTapChangers() throws Exception {
    Nameplate plate = read(TWO_CHANGERS);
    TapChanger lv = plate.tapChangers().get(0);
    assertEquals(Side.LV, lv.side());
    assertEquals(Kind.DE_ENERGISED, lv.kind());
    assertEquals(new BigDecimal("454.65"), lv.voltage(1).orElseThrow());
    TapChanger hv = plate.tapChangers().get(1);
    assertEquals(Side.HV, hv.side());
    assertEquals(Kind.ON_LOAD, hv.kind());
    assertEquals(9, hv.principal());
    assertEquals(new BigDecimal("12100"), hv.voltage(1).orElseThrow());
    assertEquals(new BigDecimal("11137.5"), hv.voltage(8).orElseThrow());
    assertEquals(new BigDecimal("9900"), hv.voltage(17).orElseThrow());
    assertEquals(new BigDecimal("0.8"), plate.noLoadCurrentPercent().orElseThrow());
    assertEquals(OptionalInt.of(23), plate.lvTurns());
    assertEquals(CoreForm.FIVE_LIMB, plate.core());
    assertEquals(
        Map.of(
            "turns-ratio/HV-LV/A/2/9",
            new BigDecimal("44.0105"),
            "turns-ratio/HV-LV/B/1/9",
            new BigDecimal("41.9021")),
        plate.earlierRatios());
  }

  @Test
  @DisplayName("A single-phase plate has phase A and a single-phase core")
  void singlePhase() throws Exception {
    Nameplate plate = read(PLATE.replace("Dyn11", "Ii0"));
    assertEquals(CoreForm.SINGLE_PHASE, plate.core());
    assertEquals(List.of("A"), plate.group().phases());
    assertTrue(
        problems(PLATE.replace("Dyn11", "Ii0") + "core: shell\n")
            .toString()
            .contains("single-phase, yet the core is shell"));
  }

  @Test
  @DisplayName("Equal steps that miss the rated voltage are refused with the numbers")
  void missesZero() {
    String problems =
        problems(TWO_CHANGERS.replace("step-percent: -1.25", "step-percent: -1.2")).toString();
    assertTrue(
        problems.contains(
            "tap-changers[1].principal does not fit: principal position 9 comes out at 0.4 %, not"
                + " at 0 %: 10 % and 8 steps of -1.2 %"),
        problems);
    assertTrue(problems.contains("line 10 column "), problems);
    assertTrue(
        problems(TWO_CHANGERS.replace("step-percent: -1.25", "step-percent: 0"))
            .toString()
            .contains("step-percent is 0: all 17 positions would be alike"));
  }

  @Test
  @DisplayName("Every mistake with tap changers and earlier ratios is told at once, with its place")
  void tapMistakes() {
    List<String> problems =
        problems(
            TWO_CHANGERS
                    .replace("side: LV", "side: MV")
                    .replace("kind: on-load", "kind: off-load")
                    .replace("position: 1, voltage: 454.65", "position: 100, voltage: 454.65")
                    .replace("core: five-limb", "core: six-limb")
                    .replace("lv-turns: 23", "lv-turns: 0")
                    .replace("0.8", "some")
                    .replace("phase: B, tap: 1, on", "phase: A, tap: 2, on")
                + "principal-tap: 3\n");
    for (String expected :
        List.of(
            "side \"MV\" is not HV or LV",
            "kind \"off-load\" is not de-energised or on-load",
            "position \"100\" is not a whole number from 1 to 99",
            "core \"six-limb\" is not three-limb",
            "lv-turns \"0\" is not a whole number from 1",
            "no-load-current-percent \"some\" is not a decimal",
            "earlier-ratios[2].phase A on this tap is there twice",
            "principal-tap does not go with tap-changers")) {
      assertTrue(problems.stream().anyMatch(p -> p.contains(expected)), expected + problems);
    }
    assertEquals(8, problems.size(), problems.toString());
  }

  @Test
  @DisplayName("A tap changer has either taps or steps; there are one or two of them")
  void eitherTapsOrSteps() {
    assertTrue(
        problems(TWO_CHANGERS.replace("positions: 17, ", ""))
            .toString()
            .contains("taps or positions: a tap changer has either"));
    assertTrue(
        problems(TWO_CHANGERS.replace("principal: 2\n", "principal: 2\n    positions: 2\n"))
            .toString()
            .contains("taps or positions: a tap changer has either"));
    assertTrue(
        problems(PLATE.substring(0, PLATE.indexOf("taps:")) + "tap-changers: []\n")
            .toString()
            .contains("tap-changers are 0, not one or two"));
    assertTrue(
        problems(TWO_CHANGERS.replace("principal: 2\n", "principal: 3\n"))
            .toString()
            .contains("principal 3 is none of the taps"));
    assertTrue(
        problems(TWO_CHANGERS.replace("kind: de-energised", "kind: on-load"))
            .toString()
            .contains("both tap changers are on-load"));
  }

  @Test
  @DisplayName("With one tap changer an earlier ratio has no on-load tap; it is of a tap there is")
  void earlierRatios() throws Exception {
    Nameplate plate = read(PLATE + "earlier-ratios: [{phase: C, tap: 1, ratio: 46.2}]\n");
    assertEquals(Map.of("turns-ratio/HV-LV/C/1", new BigDecimal("46.2")), plate.earlierRatios());
    assertTrue(
        problems(PLATE + "earlier-ratios: [{phase: C, tap: 1, on-load-tap: 1, ratio: 46.2}]\n")
            .toString()
            .contains("on-load-tap is no key here"));
    assertTrue(
        problems(PLATE + "earlier-ratios: [{phase: C, tap: 7, ratio: 46.2}]\n")
            .toString()
            .contains("turns-ratio/HV-LV/C/7 is of no step of the plan"));
  }

  @Test
  @DisplayName("The nameplate keys that README.md shows can be read")
  void readme() throws Exception {
    Matcher example =
        Pattern.compile("(?s)```yaml\n(tap-changers: .*?)```")
            .matcher(Files.readString(Path.of("../../README.md")));
    assertTrue(example.find(), "README.md shows tap changers");
    Nameplate plate =
        read(
            PLATE.substring(0, PLATE.indexOf("taps:"))
                + "hv-conductor: copper\nlv-conductor: copper\n"
                + example.group(1));
    assertEquals(2, plate.tapChangers().size());
  }

  @Test
  @DisplayName("A test set says which tests and what the instrument shows; unknown words are told")
  void plan() throws Exception {
    assertEquals(PlanOptions.USUAL, options("id: a\n"));
    assertEquals(
        new PlanOptions(
            Set.of(TestKind.INSULATION_RESISTANCE, TestKind.TURNS_RATIO), RatioBasis.WINDING),
        options("tests: [insulation-resistance, turns-ratio]\nratio-basis: winding\n"));
    SetupException wrong =
        assertThrows(
            SetupException.class,
            () -> options("tests: [noise, turns-ratio, turns-ratio]\nratio-basis: both\n"));
    assertEquals(3, wrong.problems().size(), wrong.getMessage());
    assertTrue(
        wrong
            .problems()
            .get(0)
            .contains("tests \"noise\" is none of the tests turns-ratio, short-circuit-impedance"),
        wrong.getMessage());
    assertTrue(wrong.problems().get(1).contains("\"turns-ratio\" is there twice"));
    assertTrue(wrong.problems().get(2).contains("\"both\" is not terminals, winding or line"));
    SetupException none = assertThrows(SetupException.class, () -> options("tests: []\n"));
    assertTrue(none.getMessage().contains("names no test"), none.getMessage());
  }

  private static PlanOptions options(String text) throws SetupException {
    Problems problems = new Problems();
    PlanOptions options = PlanKeys.read(YamlFile.parse("set", text, problems));
    problems.throwIfAny();
    return options;
  }

  @Test
  @DisplayName("Every mistake is told at once, each with line and column and what to write")
  void mistakes() {
    List<String> problems =
        problems(
            PLATE
                .replace("Dyn11", "Dyn12")
                .replace("250", "a lot")
                .replace("copper", "kopper")
                .replace("principal-tap: 2", "principal-tap: 3")
                .replace("frequency: 50", "frequenzy: 50"));
    assertEquals(6, problems.size(), problems.toString());
    for (String expected :
        List.of(
            "line 2 column 8: group \"Dyn12\" is not a winding group such as Dyn11",
            "line 3 column 14: rated-power \"a lot\" is not a decimal number",
            "frequency is missing",
            "line 6 column 1: frequenzy is no key here",
            "principal-tap 3 is none of the taps",
            "hv-conductor \"kopper\" is not copper or aluminium")) {
      assertTrue(problems.stream().anyMatch(p -> p.contains(expected)), expected + problems);
    }
  }

  @Test
  @DisplayName("A key that stands twice, no YAML at all, an empty file and no file are told")
  void notAFile() throws Exception {
    assertTrue(problems(PLATE + "asset: HL-0232\n").get(0).contains("asset stands twice"));
    assertTrue(problems("a: [1").get(0).matches(".*plate.yaml line 1 column [0-9]+: is no YAML.*"));
    assertTrue(problems("").get(0).contains("holds no"));
    assertTrue(problems("a: \u0007").get(0).contains("is no YAML"));
    assertTrue(problems("a: " + "[".repeat(60)).get(0).contains("is no YAML"));
    SetupException missing =
        assertThrows(
            SetupException.class, () -> NameplateFile.read(folder.resolve("nothing.yaml")));
    assertTrue(missing.getMessage().contains("there is no such file"));
  }

  @Test
  @DisplayName("Lines that are well written and do not go together are told, not thrown about")
  void doNotGoTogether() {
    assertTrue(
        problems(PLATE.replace("hv-voltage: 11000", "hv-voltage: 10000"))
            .toString()
            .contains("plate.yaml: "));
    assertTrue(problems(PLATE.replace("11550", "-1")).toString().contains("plate.yaml: "));
  }

  @Test
  @DisplayName("A limit of a criterion that cannot be one is told with its place")
  void criteriaLimits() throws Exception {
    String shipped = Files.readString(Path.of("../../shared/criteria/distribution-oil.json"));
    Path file = folder.resolve("criteria.yaml");
    Files.writeString(file, shipped.replace("\"limit\": \"0.5\"", "\"limit\": \"-0.5\""));
    SetupException wrong = assertThrows(SetupException.class, () -> CriteriaFile.read(file));
    assertTrue(wrong.getMessage().contains("ratio-deviation"), wrong.getMessage());
    assertTrue(wrong.getMessage().contains("line "), wrong.getMessage());
  }

  @Test
  @DisplayName("Every criteria profile in shared/criteria can be read")
  void shippedCriteria() throws Exception {
    try (Stream<Path> files = Files.list(Path.of("../../shared/criteria"))) {
      for (Path file : files.toList()) {
        String name = file.getFileName().toString().replace(".json", "");
        assertEquals(name, CriteriaFile.read(file).name());
        assertEquals(CriteriaFile.read(file), CriteriaFile.shipped(name));
      }
    }
  }

  private Nameplate read(String text) throws IOException, SetupException {
    Path file = folder.resolve("plate.yaml");
    Files.writeString(file, text);
    return NameplateFile.read(file);
  }

  private List<String> problems(String text) {
    return assertThrows(SetupException.class, () -> read(text)).problems();
  }
}
