package org.tallywire.format;

import static org.junit.jupiter.api.Assertions.assertEquals;
import static org.junit.jupiter.api.Assertions.assertFalse;
import static org.junit.jupiter.api.Assertions.assertThrows;
import static org.junit.jupiter.api.Assertions.assertTrue;

import java.math.BigDecimal;
import java.math.MathContext;
import java.nio.charset.Charset;
import java.nio.charset.StandardCharsets;
import java.nio.file.Files;
import java.nio.file.Path;
import java.util.List;
import java.util.Optional;
import org.junit.jupiter.api.BeforeEach;
import org.junit.jupiter.api.DisplayName;
import org.junit.jupiter.api.Test;
import org.junit.jupiter.api.io.TempDir;
import org.tallywire.acceptance.Nameplate;
import org.tallywire.acceptance.resistance.ConductorConstants;
import org.tallywire.testset.EarlierResult;
import org.yaml.snakeyaml.Yaml;

/** Earlier results out of a CSV file: the example of shared/import, and what can be wrong. */
class ImportTest {

  private static final Path EXAMPLE = Path.of("../../shared/import");

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
        - {position: 2, voltage: 11275}
        - {position: 3, voltage: 11000}
        - {position: 4, voltage: 10725}
        - {position: 5, voltage: 10450}
      principal-tap: 3
      hv-conductor: copper
      lv-conductor: aluminium
      """;

  @TempDir private Path folder;
  private Path plateFile;
  private Optional<Nameplate> plate = Optional.empty();

  @BeforeEach
  void plate() throws Exception {
    plateFile = Files.writeString(folder.resolve("plate.yaml"), PLATE);
    plate = Optional.of(NameplateFile.read(plateFile));
  }

  @Test
  @DisplayName("The example: steps, exact values, units by word, decimal commas, empty cells")
  void example() throws Exception {
    ImportedResults imported =
        ImportedResults.read(
            EXAMPLE.resolve("factory-report.csv"), EXAMPLE.resolve("factory-report.yaml"), plate);
    List<EarlierResult> results = imported.results();
    assertEquals(14, results.size());
    assertEquals(1, imported.unfilled(), "phase W on tap 5");
    EarlierResult ratio = results.get(0);
    assertEquals("turns-ratio/HV-LV/A/1", ratio.step());
    assertEquals(new BigDecimal("46.1986"), ratio.value());
    assertEquals("46,1986", ratio.text());
    assertEquals("2019-03-14", ratio.date().toString());
    EarlierResult lv = results.get(11);
    assertEquals("winding-resistance/LV/A", lv.step(), "a side without taps");
    assertEquals("mOhm", lv.unit().code());
    assertEquals(new BigDecimal("21.5"), lv.temperature().orElseThrow());
    assertEquals(results, read(new EarlierFile("HL-0231", "f", "0".repeat(64), results)));
  }

  private List<EarlierResult> read(EarlierFile file) throws Exception {
    Path written = Files.write(folder.resolve("e.json"), file.json());
    assertEquals(List.of(), new Schemas().problems("earlier", file.json()));
    return EarlierFile.read(written).results();
  }

  @Test
  @DisplayName(
      "Keys for the nameplate: the latest of each step, resistances at the reference temperature")
  void keys() throws Exception {
    ImportedResults imported =
        ImportedResults.read(
            EXAMPLE.resolve("factory-report.csv"), EXAMPLE.resolve("factory-report.yaml"), plate);
    EarlierKeys keys = new EarlierKeys(imported.results(), plate, ConductorConstants.IEC);
    Path copy = folder.resolve("new.yaml");
    Files.writeString(copy, keys.appendedTo(plateFile));
    Nameplate with = NameplateFile.read(copy);
    assertEquals(List.of(), keys.notes());
    assertEquals(8, with.earlierRatios().size());
    assertEquals(new BigDecimal("44.0021"), with.earlierRatios().get("turns-ratio/HV-LV/B/3"));
    // IEC 60076-1: R75 = R (T_k + 75) / (T_k + θ), 235 copper, 225 aluminium
    assertEquals(
        new BigDecimal("4.3021")
            .multiply(new BigDecimal("310"))
            .divide(new BigDecimal("256.5"), MathContext.DECIMAL128)
            .round(new MathContext(8)),
        with.reference("HV", "A").orElseThrow().ohms());
    assertEquals(
        new BigDecimal("0.0023482")
            .multiply(new BigDecimal("300"))
            .divide(new BigDecimal("246.5"), MathContext.DECIMAL128)
            .round(new MathContext(8)),
        with.reference("LV", "C").orElseThrow().ohms());
    assertEquals(PLATE, Files.readString(plateFile), "nothing is edited in place");
    SetupException twice = assertThrows(SetupException.class, () -> keys.appendedTo(copy));
    assertEquals(2, twice.problems().size(), twice.getMessage());
    EarlierKeys without =
        new EarlierKeys(imported.results(), Optional.empty(), ConductorConstants.IEC);
    assertFalse(without.yaml().contains("resistance-references"));
    assertEquals(6, without.notes().size());
  }

  @Test
  @DisplayName("A repeated step: the later date wins, and of one date the last row")
  void latest() throws Exception {
    List<EarlierResult> results =
        imported(
                """
                Ratio,Date
                44.1,2020-01-02
                44.2,2019-01-02
                44.3,2020-01-02
                """,
                """
                tap: 3
                phase: A
                quantity: turns-ratio
                unit: "1"
                date: {column: Date}
                values: [{value: {column: Ratio}}]
                """)
            .results();
    String yaml = new EarlierKeys(results, plate, ConductorConstants.IEC).yaml();
    assertTrue(yaml.contains("ratio: 44.3}"), yaml);
    new Yaml().load(yaml);
  }

  @Test
  @DisplayName(
      "A long table, a factor, Windows-1252, exponents, and a source that would end a comment")
  void longTable() throws Exception {
    Files.write(
        folder.resolve("f.csv"),
        "Größe,Phase,Wert,Quelle\nR,U,\"1,5e-1\",\"Werk\nA\"\n"
            .getBytes(Charset.forName("windows-1252")));
    Files.writeString(
        folder.resolve("m.yaml"),
        """
        encoding: windows-1252
        decimal-mark: comma
        date: 2020-02-29
        values:
          - quantity: {column: Größe, words: {R: winding-resistance}}
            windings: LV
            phase: {column: Phase, words: {U: A, V: B, W: C}}
            value: {column: Wert}
            factor: 0.001
            unit: Ohm
            temperature: 20
            source: {column: Quelle}
        """);
    EarlierResult one =
        ImportedResults.read(folder.resolve("f.csv"), folder.resolve("m.yaml"), plate)
            .results()
            .get(0);
    assertEquals(0, one.value().compareTo(new BigDecimal("0.00015")));
    assertEquals("winding-resistance/LV/A", one.step());
    String yaml = new EarlierKeys(List.of(one), plate, ConductorConstants.IEC).yaml();
    assertEquals(2, yaml.lines().count(), yaml);
  }

  @Test
  @DisplayName("What is wrong is told with line and column, all of it, and nothing is imported")
  void wrongCells() throws Exception {
    SetupException e =
        assertThrows(
            SetupException.class,
            () ->
                imported(
                    """
                    Ratio,Tap,Phase,Date
                    "44,1",3,A,2020-01-02
                    44.1,9,A,2020-01-02
                    44.1,3,X,2020-01-02
                    44.1,3,A,2020-02-30
                    NaN,3,A,2020-01-02
                    1 000,3,A,2020-01-02
                    """,
                    """
                    tap: {column: Tap}
                    phase: {column: Phase, words: {A: A}}
                    quantity: turns-ratio
                    unit: "1"
                    date: {column: Date}
                    values: [{value: {column: Ratio}}]
                    """));
    List<String> starts =
        List.of(
            "line 2 column 1 (Ratio): value \"44,1\" is no number",
            "line 3 column 3 (Phase): phase A: no step of the nameplate's plan",
            "line 4 column 3 (Phase): phase \"X\" is none of the words of the map: A",
            "line 5 column 4 (Date): date \"2020-02-30\" is no date of the form yyyy-MM-dd",
            "line 6 column 1 (Ratio): value \"NaN\"",
            "line 7 column 1 (Ratio): value \"1 000\"");
    for (String start : starts) {
      assertTrue(e.problems().stream().anyMatch(p -> p.contains(start)), start + " in " + e);
    }
  }

  @Test
  @DisplayName("Quotes, columns and maps that cannot be are told")
  void wrongFiles() throws Exception {
    String map = "quantity: turns-ratio\nunit: \"1\"\ntap: 3\nphase: A\ndate: 2020-01-02\n";
    String values = "values: [{value: {column: Ratio}}]\n";
    refused("Ratio\na\"b\n", map + values, "line 2 column 1: a quote inside a cell");
    refused("Ratio\n\"a\"b\n", map + values, "line 2 column 1: text behind a closing quote");
    refused("Ratio\n\"a\n\n", map + values, "line 2 column 1: a quote is opened and never closed");
    refused("Value\n1\n", map + values, "has no column \"Ratio\"");
    refused("Ratio,Ratio\n1,2\n", map + values, "column 2: \"Ratio\" names two columns");
    refused("Ratio\n1\n", "head-line: 7\n" + map + values, "no row that begins on line 7");
    refused("Ratio\n1\n", map, "values is missing");
    refused("Ratio\n1\n", map + values + "colour: red\n", "colour is no key here");
    refused(
        "Ratio\n1\n", "decimal-mark: dot\n" + map + values, "\"dot\" is not one of comma, point");
    refused("Ratio\n1\n", "date-format: 1b2\n" + map + values, "is no pattern");
    refused("Ratio\n1\n", values, "quantity is missing, here and above");
    refused("Ratio\n1\n", map.replace("\"1\"", "V") + values, "\"V\" does not convert to 1");
    refused("Ratio\n1\n", map.replace("turns-ratio", "weight") + values, "\"weight\" is none of");
    refused("Ratio\n1\n", map + "values: [{value: 3}]\n", "is to name the column");
  }

  @Test
  @DisplayName(
      "The example keeps the schema of maps, and the schema refuses what the reader refuses")
  void schema() throws Exception {
    Schemas schemas = new Schemas();
    Object example = new Yaml().load(Files.readString(EXAMPLE.resolve("factory-report.yaml")));
    assertEquals(List.of(), schemas.problems("import", Json.MAPPER.writeValueAsBytes(example)));
    for (String wrong :
        List.of("{}", "{\"values\":[]}", "{\"values\":[{\"value\":3}]}", "{\"colour\":1}")) {
      assertFalse(
          schemas.problems("import", wrong.getBytes(StandardCharsets.UTF_8)).isEmpty(), wrong);
    }
  }

  private ImportedResults imported(String csv, String map) throws Exception {
    Files.writeString(folder.resolve("f.csv"), csv);
    Files.writeString(folder.resolve("m.yaml"), map);
    return ImportedResults.read(folder.resolve("f.csv"), folder.resolve("m.yaml"), plate);
  }

  private void refused(String csv, String map, String why) {
    SetupException e = assertThrows(SetupException.class, () -> imported(csv, map));
    assertTrue(e.getMessage().contains(why), e.getMessage());
  }
}
