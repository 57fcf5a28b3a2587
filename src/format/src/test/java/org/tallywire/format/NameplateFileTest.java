package org.tallywire.format;

import static org.junit.jupiter.api.Assertions.assertEquals;
import static org.junit.jupiter.api.Assertions.assertThrows;
import static org.junit.jupiter.api.Assertions.assertTrue;

import java.io.IOException;
import java.math.BigDecimal;
import java.nio.file.Files;
import java.nio.file.Path;
import java.util.List;
import java.util.stream.Stream;
import org.junit.jupiter.api.DisplayName;
import org.junit.jupiter.api.Test;
import org.junit.jupiter.api.io.TempDir;
import org.tallywire.acceptance.Nameplate;

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
  @DisplayName("A plate is read exactly as written")
  void reads() throws Exception {
    Nameplate plate = read(PLATE);
    assertEquals("HL-0231", plate.asset());
    assertEquals(new BigDecimal("4.50"), plate.impedancePercent().orElseThrow());
    assertEquals(2, plate.tapChangers().get(0).taps().size());
    assertEquals(BigDecimal.valueOf(75), plate.referenceTemperature());
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
