package org.tallywire.web;

import static org.junit.jupiter.api.Assertions.assertEquals;
import static org.junit.jupiter.api.Assertions.assertTrue;

import com.fasterxml.jackson.databind.JsonNode;
import com.networknt.schema.Schema;
import com.networknt.schema.SchemaLocation;
import com.networknt.schema.SchemaRegistry;
import com.networknt.schema.SpecificationVersion;
import java.io.IOException;
import java.io.UncheckedIOException;
import java.nio.file.Files;
import java.nio.file.Path;
import java.util.ArrayList;
import java.util.HashMap;
import java.util.List;
import java.util.Map;
import java.util.stream.Stream;
import org.junit.jupiter.api.Test;

/** Holds the sample to shared/schema, so that the page is tried with what really comes. */
final class SampleDayTest {

  private final SchemaRegistry registry = registry();

  @Test
  void everyLineOfTheSampleIsValid() throws IOException {
    List<String> faults = new ArrayList<>();
    List<String> lines = SampleDay.lines();
    for (String line : lines) {
      faults.addAll(faults(SampleDay.JSON.readTree(line)));
    }
    assertEquals(List.of(), faults);
    assertEquals(93, lines.size());
  }

  @Test
  void theStatesOfTheTestsAreValidAndADamagedOneIsNot() throws IOException {
    JsonNode state =
        SampleDay.JSON.readTree(SampleDay.state("bay-2", "station", "connected", "quite well"));
    assertEquals(List.of(), faults(state));
    JsonNode damaged =
        SampleDay.JSON.readTree(SampleDay.state("bay-2", "station", "cheerful", "no such word"));
    assertTrue(faults(damaged).size() == 1, () -> faults(damaged).toString());
  }

  private List<String> faults(JsonNode record) {
    Schema schema =
        registry.getSchema(
            SchemaLocation.of("urn:tallywire:schema:" + record.get("record").asText()));
    return schema.validate(record).stream()
        .map(e -> record.get("id").asText() + ": " + e.getMessage())
        .toList();
  }

  private static SchemaRegistry registry() {
    Map<String, String> schemas = new HashMap<>();
    try (Stream<Path> files = Files.list(Path.of("../../shared/schema"))) {
      for (Path file : files.filter(f -> f.toString().endsWith(".schema.json")).toList()) {
        String text = Files.readString(file);
        schemas.put(SampleDay.JSON.readTree(text).get("$id").asText(), text);
      }
    } catch (IOException e) {
      throw new UncheckedIOException(e);
    }
    return SchemaRegistry.withDefaultDialect(
        SpecificationVersion.DRAFT_2020_12, builder -> builder.schemas(schemas));
  }
}
