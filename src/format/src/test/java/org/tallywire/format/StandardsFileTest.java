package org.tallywire.format;

import static org.junit.jupiter.api.Assertions.assertEquals;
import static org.junit.jupiter.api.Assertions.assertNotEquals;
import static org.junit.jupiter.api.Assertions.assertThrows;
import static org.junit.jupiter.api.Assertions.assertTrue;

import com.fasterxml.jackson.databind.JsonNode;
import java.math.BigDecimal;
import java.nio.charset.StandardCharsets;
import java.nio.file.Files;
import java.nio.file.Path;
import java.time.LocalDate;
import java.util.ArrayList;
import java.util.List;
import java.util.Optional;
import java.util.stream.Stream;
import org.junit.jupiter.api.DisplayName;
import org.junit.jupiter.api.Test;
import org.junit.jupiter.api.io.TempDir;
import org.junit.jupiter.params.ParameterizedTest;
import org.junit.jupiter.params.provider.CsvSource;
import org.tallywire.testset.ReferenceStandard;
import org.yaml.snakeyaml.DumperOptions;
import org.yaml.snakeyaml.LoaderOptions;
import org.yaml.snakeyaml.Yaml;
import org.yaml.snakeyaml.constructor.SafeConstructor;
import org.yaml.snakeyaml.representer.Representer;
import org.yaml.snakeyaml.resolver.Resolver;

class StandardsFileTest {

  private static final Path EXAMPLE = Path.of("../../shared/standards/bench.yaml");

  @TempDir private Path folder;

  @Test
  @DisplayName("The example is valid by the schema, marked as invented, and says what it says")
  void example() throws Exception {
    String text = Files.readString(EXAMPLE);
    assertTrue(
        text.startsWith(
            "# Standards, serial numbers and certificates of this example are" + " invented."));
    assertEquals(List.of(), invalid(text));
    List<ReferenceStandard> all = StandardsFile.read(EXAMPLE);
    assertEquals(
        Stream.of(ReferenceStandard.Kind.values()).toList(),
        all.stream().map(ReferenceStandard::kind).toList(),
        "one of each kind");
    ReferenceStandard one = StandardsFile.read(EXAMPLE, "ten-milliohm");
    assertEquals(new BigDecimal("10.0004"), one.value());
    assertEquals(LocalDate.parse("2027-02-01"), one.due());
    assertEquals(new BigDecimal("5"), one.warmth().orElseThrow().coefficient());
    assertEquals(Optional.empty(), all.get(0).warmth());
  }

  @ParameterizedTest
  @DisplayName("What the schema refuses the reader refuses too, at its line and column")
  @CsvSource(
      delimiter = '|',
      value = {
        "name: ratio-10|name: Ratio 10|line 3 column 11: standards[1].name \"Ratio 10\" is not a word",
        "serial: INV-RS-0017|serials: INV-RS-0017|line 4 column 5: standards[1].serials is no key here",
        "kind: ratio|kind: ratios|line 5 column 11: standards[1].kind \"ratios\" is not ratio",
        "value: 10.0000|value: 0|line 6 column 12: standards[1].value is 0, which is not above zero",
        "value: 10.0000|value: 1e1|line 6 column 12: standards[1].value \"1e1\" is not a decimal",
        "unit: \"1\"|unit: V|line 7 column 11: standards[1].unit \"V\" is not a unit",
        "uncertainty: 0.0010|uncertainty: -1|line 8 column 18: standards[1].uncertainty is -1",
        "coverage: 2|k: 2|line 9 column 5: standards[1].k is no key here",
        "due: 2027-02-01|due: 1.2.2027|line 11 column 10: standards[1].due \"1.2.2027\" is not a date",
        "within: 5|within: much|line 24 column 15: standards[2].temperature.within \"much\" is not",
      })
  void wrong(String right, String wrong, String problem) throws Exception {
    String text = Files.readString(EXAMPLE);
    String changed = text.replaceFirst(java.util.regex.Pattern.quote(right), wrong);
    assertNotEquals(text, changed);
    assertNotEquals(List.of(), invalid(changed), "the schema");
    List<String> problems = problems(changed);
    assertTrue(problems.stream().anyMatch(p -> p.contains("ours.yaml " + problem)), problems + "");
  }

  @ParameterizedTest
  @DisplayName("What only a reader can know is told as well, at its line and column")
  @CsvSource(
      delimiter = '|',
      value = {
        "due: 2027-02-01|due: 2027-02-30|line 11 column 10: standards[1].due \"2027-02-30\" is not a date",
        "unit: \"1\"|unit: Ohm|line 7 column 11: standards[1].unit is Ohm, but a standard of kind ratio",
        "name: gigohm|name: ratio-10|line 25 column 11: standards[3].name \"ratio-10\" stands twice",
        "coefficient: 5|coefficient: 10001|line 22 column 20: standards[2].temperature.coefficient is",
        "reference: 23|reference: 296|line 23 column 18: standards[2].temperature.reference is 296",
      })
  void alone(String right, String wrong, String problem) throws Exception {
    String text = Files.readString(EXAMPLE);
    String changed = text.replaceFirst(java.util.regex.Pattern.quote(right), wrong);
    assertNotEquals(text, changed);
    List<String> problems = problems(changed);
    assertEquals(1, problems.size(), problems + "");
    assertTrue(problems.get(0).contains("ours.yaml " + problem), problems + "");
  }

  @Test
  @DisplayName("A name that is not there is told with those that are; so is an empty file")
  void names() {
    SetupException none =
        assertThrows(SetupException.class, () -> StandardsFile.read(EXAMPLE, "ratio-11"));
    assertTrue(none.getMessage().contains("ratio-10, ten-milliohm, gigohm"), none.getMessage());
    assertTrue(problems("standards: []\n").get(0).contains("holds no standard"));
  }

  @Test
  @DisplayName("Schema and reader know the same kinds")
  void kinds() throws Exception {
    JsonNode schema =
        Json.MAPPER.readTree(Path.of("../../shared/schema/standards.schema.json").toFile());
    List<String> words = new ArrayList<>();
    schema
        .at("/properties/standards/items/properties/kind/enum")
        .forEach(word -> words.add(word.asText()));
    assertEquals(
        Stream.of(ReferenceStandard.Kind.values()).map(ReferenceStandard.Kind::word).toList(),
        words);
  }

  private List<String> problems(String text) {
    return assertThrows(
            SetupException.class,
            () -> {
              Path file = folder.resolve("ours.yaml");
              Files.writeString(file, text);
              StandardsFile.read(file);
            })
        .problems();
  }

  /** Validates it with every number as the text that stands there, as the reader takes it. */
  private static List<String> invalid(String yaml) throws Exception {
    LoaderOptions options = new LoaderOptions();
    DumperOptions dumper = new DumperOptions();
    Resolver texts =
        new Resolver() {
          @Override
          protected void addImplicitResolvers() {
            // everything is text
          }
        };
    Object tree =
        new Yaml(new SafeConstructor(options), new Representer(dumper), dumper, options, texts)
            .load(yaml);
    return new Schemas()
        .problems(
            "standards", Json.MAPPER.writeValueAsString(tree).getBytes(StandardCharsets.UTF_8));
  }
}
