package org.tallywire.declared;

import static org.junit.jupiter.api.Assertions.assertEquals;
import static org.junit.jupiter.api.Assertions.assertFalse;
import static org.junit.jupiter.api.Assertions.assertThrows;
import static org.junit.jupiter.api.Assertions.assertTrue;

import com.fasterxml.jackson.databind.JsonNode;
import com.fasterxml.jackson.databind.ObjectMapper;
import com.networknt.schema.Schema;
import com.networknt.schema.SchemaRegistry;
import com.networknt.schema.SpecificationVersion;
import java.io.IOException;
import java.io.InputStream;
import java.nio.charset.StandardCharsets;
import java.nio.file.Files;
import java.nio.file.Path;
import java.util.ArrayList;
import java.util.List;
import java.util.Set;
import java.util.TreeSet;
import java.util.stream.Stream;
import org.junit.jupiter.api.DisplayName;
import org.junit.jupiter.api.DynamicTest;
import org.junit.jupiter.api.Test;
import org.junit.jupiter.api.TestFactory;
import org.yaml.snakeyaml.LoaderOptions;
import org.yaml.snakeyaml.constructor.SafeConstructor;

/**
 * Wrong files with every sentence that is told of them, in {@code wrong-files.txt}: a title after
 * {@code ==}, with {@code ~} at its end if the schema cannot say it; the file, behind a short right
 * one unless it has a driver or rules of its own; then each sentence after {@code =>}. And the
 * schema, which refuses the same and knows the same keys.
 */
final class WrongFilesTest {

  private static final Path SCHEMA = Path.of("../../shared/schema/declared.schema.json");
  private static final ObjectMapper JSON = new ObjectMapper();

  static final String RIGHT =
      """
      driver: m
      version: 1
      about: a meter
      rules:
        - match: "(?<v>[0-9.]+)"
          reading: {values: [{quantity: test-voltage, from: v, unit: V}]}
      """;

  record Case(String title, String file, List<String> sentences) {

    boolean schemaKnows() {
      return !title.endsWith("~");
    }
  }

  @TestFactory
  @DisplayName("DRV-2: every mistake is told with line and column and what to write")
  Stream<DynamicTest> reader() throws IOException {
    return cases().stream()
        .map(
            c ->
                DynamicTest.dynamicTest(
                    c.title(),
                    () -> {
                      assertEquals(
                          String.join("\n", c.sentences()), String.join("\n", told(c.file())));
                      assertFalse(c.sentences().isEmpty(), "the table lacks its sentences");
                    }));
  }

  @Test
  @DisplayName("the schema refuses what the reader refuses, as far as a schema can")
  void schemaRefuses() throws IOException {
    Schema schema = schema();
    for (Case c : cases()) {
      if (c.schemaKnows()) {
        assertFalse(wrong(schema, c.file()).isEmpty(), c.title());
      }
    }
  }

  @Test
  @DisplayName("the schema takes the shipped files, and the short right one")
  void schemaTakes() throws Exception {
    Schema schema = schema();
    for (Path file : ShippedFilesTest.files()) {
      assertEquals(List.of(), wrong(schema, Files.readString(file)), file.toString());
    }
    assertEquals(List.of(), wrong(schema, RIGHT));
    assertTrue(DeclaredFile.parse("right", RIGHT).examples().isEmpty());
  }

  @Test
  @DisplayName("a file in JSON is read like one in YAML")
  void json() throws Exception {
    Object value =
        new org.yaml.snakeyaml.Yaml(new SafeConstructor(new LoaderOptions())).load(RIGHT);
    String json = JSON.writerWithDefaultPrettyPrinter().writeValueAsString(value);
    assertEquals("m", DeclaredFile.parse("right.json", json).description().name());
  }

  @Test
  @DisplayName("every key of the schema is one that the reader asks for, and is described")
  void sameKeys() throws IOException {
    JsonNode schema = JSON.readTree(Files.readString(SCHEMA));
    Set<String> keys = new TreeSet<>(); // what an unknown key is answered with at the top
    List<String> told = told(RIGHT + "nosuchkey: 1\n");
    String all = told.get(0).substring(told.get(0).indexOf("write one of: ") + 14);
    keys.addAll(List.of(all.split(", ")));
    Set<String> top = new TreeSet<>();
    schema.get("properties").fieldNames().forEachRemaining(top::add);
    assertEquals(keys, top);
    assertEquals(List.of(), undescribed("", schema, schema, new ArrayList<>()));
  }

  private static List<String> undescribed(
      String path, JsonNode node, JsonNode schema, List<String> found) {
    node.path("properties")
        .properties()
        .forEach(
            property -> {
              JsonNode value = property.getValue();
              boolean described = value.has("description");
              if (value.has("$ref")) {
                described |= schema.at(value.get("$ref").asText().substring(1)).has("description");
              }
              boolean narrows = path.contains("allOf");
              if (!described && !narrows && !path.endsWith("anyOf")) {
                found.add(path + "/" + property.getKey());
              }
            });
    node.properties()
        .forEach(
            p -> {
              if (!p.getKey().equals("allOf") && !p.getKey().equals("anyOf")) {
                undescribed(path + "/" + p.getKey(), p.getValue(), schema, found);
              }
            });
    return found;
  }

  private static Schema schema() throws IOException {
    return SchemaRegistry.withDefaultDialect(SpecificationVersion.DRAFT_2020_12)
        .getSchema(JSON.readTree(Files.readString(SCHEMA)));
  }

  private static List<String> wrong(Schema schema, String yaml) {
    Object value = new org.yaml.snakeyaml.Yaml(new SafeConstructor(new LoaderOptions())).load(yaml);
    return schema.validate(JSON.valueToTree(value)).stream().map(Object::toString).toList();
  }

  static List<String> told(String file) {
    return assertThrows(DeclarationException.class, () -> DeclaredFile.parse("f", file)).problems();
  }

  static List<Case> cases() throws IOException {
    List<Case> cases = new ArrayList<>();
    String title = "";
    StringBuilder file = new StringBuilder();
    List<String> sentences = new ArrayList<>();
    for (String line : (text() + "== end").split("\n", -1)) {
      if (line.startsWith("== ")) {
        if (!title.isEmpty()) {
          String own = file.toString();
          boolean whole = own.contains("rules:") || own.contains("driver:");
          cases.add(new Case(title, whole ? own : RIGHT + own, List.copyOf(sentences)));
        }
        title = line.substring(3);
        file.setLength(0);
        sentences.clear();
      } else if (line.startsWith("=> ")) {
        sentences.add(line.substring(3));
      } else {
        file.append(line).append('\n');
      }
    }
    return cases;
  }

  private static String text() throws IOException {
    try (InputStream stream = WrongFilesTest.class.getResourceAsStream("wrong-files.txt")) {
      return new String(stream.readAllBytes(), StandardCharsets.UTF_8);
    }
  }
}
