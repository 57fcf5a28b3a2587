package org.tallywire.simulator.scenario;

import static org.junit.jupiter.api.Assertions.assertEquals;
import static org.junit.jupiter.api.Assertions.assertFalse;

import com.fasterxml.jackson.databind.JsonNode;
import com.fasterxml.jackson.databind.ObjectMapper;
import com.networknt.schema.Schema;
import com.networknt.schema.SchemaRegistry;
import com.networknt.schema.SpecificationVersion;
import java.io.IOException;
import java.io.UncheckedIOException;
import java.nio.file.Files;
import java.nio.file.Path;
import java.util.ArrayList;
import java.util.HashSet;
import java.util.List;
import java.util.Set;
import org.junit.jupiter.api.DisplayName;
import org.junit.jupiter.api.Test;
import org.junit.jupiter.params.ParameterizedTest;
import org.junit.jupiter.params.provider.MethodSource;
import org.junit.jupiter.params.provider.ValueSource;
import org.yaml.snakeyaml.LoaderOptions;
import org.yaml.snakeyaml.Yaml;
import org.yaml.snakeyaml.constructor.SafeConstructor;

/** Holds {@code shared/schema/scenario.json} to what is read, with a validator that is not ours. */
final class ScenarioSchemaTest {

  private static final Path FILE = Path.of("../shared/schema/scenario.json");
  private static final ObjectMapper JSON = new ObjectMapper();

  private static JsonNode json() throws IOException {
    return JSON.readTree(Files.readString(FILE));
  }

  private static List<String> wrong(String yaml) throws IOException {
    Schema schema =
        SchemaRegistry.withDefaultDialect(SpecificationVersion.DRAFT_2020_12).getSchema(json());
    Object value = new Yaml(new SafeConstructor(new LoaderOptions())).load(yaml);
    return schema.validate(JSON.valueToTree(value)).stream().map(e -> e.toString()).toList();
  }

  @ParameterizedTest
  @MethodSource("names")
  @DisplayName("each shipped scenario is valid")
  void shipped(String name) throws IOException {
    assertEquals(List.of(), wrong(Files.readString(Path.of("scenarios", name + ".yaml"))));
  }

  static List<String> names() {
    return ScenarioFile.shipped();
  }

  @ParameterizedTest
  @MethodSource("faults")
  @DisplayName("each fault is valid as it is written")
  void faults(String fault) throws IOException {
    assertEquals(List.of(), wrong("faults: [" + fault + "]"));
  }

  static List<String> faults() {
    return FaultTextTest.faults();
  }

  @ParameterizedTest
  @ValueSource(
      strings = {
        "seed: 5",
        "transformer: {serial: 0231, power: 25 kVA, group: Ii0, high voltage: 11\u2009000 V,"
            + " low voltage: 240 V}",
        "tester: {rounds: 1000}",
        "faults: []",
        "faults: [freeze from 20 s for 5 s, unplug for 1 s, reboot]",
        "faults: [{bad joint: drawn}, {frozen display: , until: 2 min}]",
        "faults: [{bad joint: {winding: HV, adds: 12 uOhm}, from: 1 h, for: 500 ms}]"
      })
  @DisplayName("other ways to write it are valid too")
  void otherWays(String yaml) throws IOException {
    assertEquals(List.of(), wrong(yaml));
  }

  @ParameterizedTest
  @ValueSource(
      strings = {
        "fault: []",
        "seed: one",
        "transformer: {serial: X}",
        "tester: {test voltage: 40}",
        "tester: {test voltage: 40 A}",
        "tester: {test current: {HV: 1,5 A}}",
        "tester: {speaks: scpi}",
        "tester: {rounds: 0}",
        "tester: {rounds: 1001}",
        "tester: {rounds: 1.5}",
        "starts at: today",
        "faults: [lightning]",
        "faults: [bad joint]",
        "faults: [{bad joint: {winding: LV}}]",
        "faults: [{wrong plate: {}}]",
        "faults: [{from: 5 s}]",
        "faults: [{freeze: , unplug: }]",
        "faults: [{freeze: , until: 5 s, for: 5 s}]",
        "faults: [{wrong tap: {steps: 0}}]"
      })
  @DisplayName("what is refused by the program is refused by the schema, as far as it can say it")
  void wrongFiles(String yaml) throws IOException {
    assertFalse(wrong(yaml).isEmpty());
  }

  @Test
  @DisplayName("the schema has the faults, keys and units of the program, and describes each")
  void sameWords() throws IOException {
    JsonNode schema = json();
    JsonNode top = schema.get("properties");
    assertEquals(ScenarioFile.KEYS, names(top));
    assertEquals(PlateEntry.KEYS, names(top.at("/transformer/properties")));
    assertEquals(PlateEntry.TAP_KEYS, names(top.at("/transformer/properties/taps/properties")));
    assertEquals(TesterEntry.KEYS, names(top.at("/tester/properties")));
    assertEquals(
        TesterEntry.ACCURACY_KEYS, names(top.at("/tester/properties/accuracy/properties")));
    assertEquals(
        TesterEntry.CURRENT_KEYS, names(top.at("/tester/properties/test current/properties")));
    JsonNode faults = schema.at("/$defs/fault/anyOf/1/properties");
    Set<String> words = new HashSet<>(FaultForm.BY_WORD.keySet());
    words.addAll(FaultReader.TIMES);
    assertEquals(words, names(faults));
    FaultForm.ALL.forEach(
        form ->
            assertEquals(
                form.keys(),
                names(faults.get(form.word()).at("/anyOf/1/properties")),
                form.word()));
    assertEquals(List.of(), undescribed("", schema, new ArrayList<>()));
  }

  private static Set<String> names(JsonNode object) {
    Set<String> names = new HashSet<>();
    object.fieldNames().forEachRemaining(names::add);
    return names;
  }

  private static List<String> undescribed(String path, JsonNode node, List<String> found) {
    node.path("properties")
        .properties()
        .forEach(
            property -> {
              JsonNode value = property.getValue();
              boolean described =
                  value.has("description")
                      || (value.has("$ref") && describes(value.get("$ref").asText()));
              if (!described) {
                found.add(path + "/" + property.getKey());
              }
            });
    node.properties().forEach(p -> undescribed(path + "/" + p.getKey(), p.getValue(), found));
    return found;
  }

  private static boolean describes(String reference) {
    try {
      return json().at(reference.substring(1)).has("description");
    } catch (IOException e) {
      throw new UncheckedIOException(e);
    }
  }

  @Test
  @DisplayName("every unit that is read may be written by the schema too")
  void sameUnits() throws IOException {
    JsonNode defs = json().get("$defs");
    for (Measure measure : Measure.values()) {
      String name =
          switch (measure) {
            case SHARE -> "percentage";
            case DIFFERENCE -> "temperatureDifference";
            case FLUX_DENSITY -> "fluxDensity";
            default -> measure.word();
          };
      for (String unit : measure.units()) {
        String pattern = defs.get(name).get("pattern").asText();
        assertEquals(true, ("-1 000.5 " + unit).matches(pattern), measure + " " + unit);
      }
    }
  }
}
