package org.tallywire.format;

import static org.junit.jupiter.api.Assertions.assertEquals;
import static org.junit.jupiter.api.Assertions.assertFalse;
import static org.junit.jupiter.api.Assertions.assertThrows;
import static org.junit.jupiter.api.Assertions.assertTrue;

import com.fasterxml.jackson.databind.JsonNode;
import java.nio.charset.StandardCharsets;
import java.nio.file.Files;
import java.nio.file.Path;
import java.util.ArrayList;
import java.util.List;
import java.util.Set;
import java.util.TreeSet;
import java.util.stream.Stream;
import org.junit.jupiter.api.DisplayName;
import org.junit.jupiter.api.Test;
import org.junit.jupiter.api.io.TempDir;
import org.junit.jupiter.params.ParameterizedTest;
import org.junit.jupiter.params.provider.CsvSource;
import org.tallywire.acceptance.CriteriaTable;
import org.tallywire.acceptance.Criterion.Kind;
import org.tallywire.acceptance.Criterion.Setting;
import org.tallywire.acceptance.Rule;

/** The schema of criteria files says what the reader does. */
class CriteriaSchemaTest {

  private static final Path FOLDER = Path.of("../../shared/criteria");

  /** A table that rests on no other, with one of everything. */
  private static final String WHOLE =
      """
      {"name": "ours", "version": "3", "about": "invented",
       "decision": {"guard": "0.5", "rounding": "to-limit"},
       "conductors": {"name": "ours", "copper": "235", "aluminium": "225", "source": "us",
         "certainty": "practice"},
       "accuracies": {"turns-ratio": {"percent-of-reading": "0.05", "percent-of-range": "0.01",
         "range": "100", "digits": "2", "absolute": "0.001", "coverage": "2"}},
       "repeatability": {"turns-ratio": {"percent": "0.01", "readings": "10"}},
       "criteria": {"ratio-deviation": {"limit": "0.4", "tenth-of-impedance": true,
         "rule": {"text": "ours", "source": "the shop", "certainty": "practice"}}}}
      """;

  @TempDir private Path folder;

  @Test
  @DisplayName("Every shipped table is valid by the schema, and every one of them is listed")
  void shipped() throws Exception {
    Schemas schemas = new Schemas();
    Set<String> names = new TreeSet<>();
    try (Stream<Path> files = Files.list(FOLDER)) {
      for (Path file : files.toList()) {
        assertEquals(List.of(), schemas.problems("criteria", Files.readAllBytes(file)), file + "");
        CriteriaTable table = CriteriaFile.read(file);
        assertEquals(file.getFileName() + "", table.name() + ".json");
        assertEquals(table, CriteriaFile.shipped(table.name()));
        names.add(table.name());
      }
    }
    assertEquals(names, new TreeSet<>(CriteriaFile.SHIPPED));
    assertEquals("distribution-oil", CriteriaFile.DEFAULT);
  }

  @Test
  @DisplayName("No rule that is from memory calls itself read, and none has an empty source")
  void marks() throws Exception {
    for (String name : CriteriaFile.SHIPPED) {
      for (var criterion : CriteriaFile.shipped(name).criteria()) {
        Rule rule = criterion.rule();
        assertFalse(rule.source().isBlank(), name);
        assertEquals(
            rule.certainty() == Rule.Certainty.PRACTICE,
            rule.source().contains("common practice"),
            name + " " + criterion.name());
        if (rule.certainty() == Rule.Certainty.FOUND) {
          assertFalse(rule.text().contains("not at hand"), name + " " + criterion.name());
        }
      }
    }
  }

  @Test
  @DisplayName("Kinds of criteria, their settings and defaults are the same in code and schema")
  void kinds() throws Exception {
    JsonNode defs =
        Json.MAPPER
            .readTree(Path.of("../../shared/schema/criteria.schema.json").toFile())
            .get("$defs");
    List<String> words = Stream.of(Kind.values()).map(Kind::word).toList();
    assertEquals(words, names(defs.at("/criteria/properties")));
    assertEquals(words, names(defs.at("/whole/properties")));
    for (Kind kind : Kind.values()) {
      JsonNode properties = defs.get(kind.word()).get("properties");
      List<String> expected = new ArrayList<>(kind.settings().stream().map(Setting::name).toList());
      List<String> required =
          new ArrayList<>(
              kind.settings().stream()
                  .filter(s -> s.preset().isEmpty())
                  .map(Setting::name)
                  .toList());
      expected.addAll(List.of("uncertainty", "rule"));
      required.add("rule");
      assertEquals(expected, names(properties), kind.word());
      assertEquals(required, texts(defs.at("/whole/properties").get(kind.word()).get("required")));
      assertTrue(defs.get(kind.word()).get("description").asText().endsWith(kind.unit().code()));
      kind.settings().forEach(setting -> assertSame(setting, properties.get(setting.name())));
    }
    assertEquals(new TreeSet<>(texts(defs.at("/quantity/enum"))), CriteriaTable.quantities());
    assertEquals(
        Stream.of(Rule.Certainty.values()).map(Rule.Certainty::word).toList(),
        texts(defs.at("/certainty/enum")));
  }

  private static void assertSame(Setting setting, JsonNode property) {
    switch (setting.sort()) {
      case POSITIVE -> assertEquals("#/$defs/positive", property.get("$ref").asText());
      case FLAG -> assertEquals("boolean", property.get("type").asText());
      case WORD -> assertEquals(setting.words(), texts(property.get("enum")));
    }
    assertEquals(setting.preset(), property.path("default").asText(), setting.name());
  }

  @Test
  @DisplayName("What the following wrong tables were made of is right for both")
  void right() throws Exception {
    assertEquals(List.of(), new Schemas().problems("criteria", bytes(WHOLE)));
    assertEquals("ours", read(WHOLE).name());
  }

  @ParameterizedTest
  @DisplayName("What the schema refuses the reader refuses too")
  @CsvSource(
      delimiter = '|',
      quoteCharacter = '`',
      value = {
        "\"name\": \"ours\", \"version\"| \"version\"",
        "\"version\": \"3\",|",
        "\"about\": \"invented\",|",
        "\"name\": \"ours\", \"version\"| \"name\": \" \", \"version\"",
        "\"about\"| \"moon\": \"full\", \"about\"",
        "\"about\"| \"extends\": \"../x.json\", \"about\"",
        "\"guard\": \"0.5\"| \"guard\": \"-0.5\"",
        "\"guard\": \"0.5\"| \"guard\": \"half\"",
        "\"to-limit\"| \"up\"",
        "\"guard\"| \"moon\"",
        "\"copper\": \"235\"| \"copper\": \"0\"",
        "\"copper\": \"235\",|",
        "\"source\": \"us\",|",
        "\"name\": \"ours\", \"copper\"| \"name\": \"Our Own\", \"copper\"",
        "\"certainty\": \"practice\"},| \"certainty\": \"sure\"},",
        "\"turns-ratio\": {\"percent-of-reading\"| \"moon\": {\"percent-of-reading\"",
        "\"0.05\"| \"-0.05\"",
        "\"0.05\"| \"5e-2\"",
        "\"range\": \"100\",|",
        "\"percent-of-range\": \"0.01\",|",
        "\"coverage\": \"2\"| \"coverage\": \"0.0\"",
        "\"coverage\": \"2\"| \"moon\": \"2\"",
        "\"digits\": \"2\"| \"digits\": []",
        "\"percent\": \"0.01\"| \"percent\": \"0\"",
        "\"readings\": \"10\"| \"readings\": \"1\"",
        "\"readings\": \"10\"| \"readings\": \"1001\"",
        "\"readings\": \"10\"| \"readings\": \"2.5\"",
        "{\"percent\": \"0.01\", \"readings\": \"10\"}| null",
        "\"criteria\"| \"criterions\"",
        "\"ratio-deviation\"| \"ratio-moon\"",
        "\"limit\": \"0.4\"| \"limit\": \"0\"",
        "\"limit\": \"0.4\"| \"limit\": \"+0.4\"",
        "\"limit\": \"0.4\"| \"limit\": \"0.40000000000000000000000000000000001\"",
        "\"limit\": \"0.4\"| \"limit\": {}",
        "\"limit\": \"0.4\",|",
        "\"limit\"| \"moon\"",
        "true| \"yes\"",
        "true| null",
        "\"limit\": \"0.4\"| \"limit\": \"0.4\", \"uncertainty\": \"-0.1\"",
        "\"rule\"| \"ruler\"",
        "\"text\": \"ours\",|",
        "\"text\": \"ours\"| \"text\": \"\"",
        "\"text\": \"ours\"| \"text\": \"a\\u007fb\"",
        "\"source\": \"the shop\",|",
        "\"certainty\": \"practice\"}}| \"certainty\": \"sure\"}}",
        "\"certainty\": \"practice\"}}| \"certainty\": \"practice\", \"moon\": \"full\"}}",
      })
  void wrong(String right, String wrong) throws Exception {
    String replacement = wrong == null ? "" : wrong;
    assertTrue(WHOLE.contains(right), right);
    String text = WHOLE.replace(right, replacement);
    assertFalse(new Schemas().problems("criteria", bytes(text)).isEmpty(), text);
    assertThrows(SetupException.class, () -> read(text), text);
  }

  private CriteriaTable read(String text) throws Exception {
    Path file = folder.resolve("ours.json");
    Files.writeString(file, text);
    return CriteriaFile.read(file);
  }

  private static byte[] bytes(String text) {
    return text.getBytes(StandardCharsets.UTF_8);
  }

  private static List<String> names(JsonNode object) {
    List<String> names = new ArrayList<>();
    object.fieldNames().forEachRemaining(names::add);
    return names;
  }

  private static List<String> texts(JsonNode array) {
    List<String> texts = new ArrayList<>();
    array.forEach(item -> texts.add(item.asText()));
    return texts;
  }
}
