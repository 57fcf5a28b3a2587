package org.tallywire.format;

import static org.junit.jupiter.api.Assertions.assertEquals;
import static org.junit.jupiter.api.Assertions.assertFalse;
import static org.junit.jupiter.api.Assertions.assertNotEquals;
import static org.junit.jupiter.api.Assertions.assertThrows;
import static org.junit.jupiter.api.Assertions.assertTrue;

import com.fasterxml.jackson.databind.JsonNode;
import java.nio.charset.StandardCharsets;
import java.nio.file.Files;
import java.nio.file.Path;
import java.util.ArrayList;
import java.util.List;
import java.util.Map;
import java.util.Set;
import java.util.TreeSet;
import java.util.stream.Stream;
import org.junit.jupiter.api.DisplayName;
import org.junit.jupiter.api.Test;
import org.junit.jupiter.api.io.TempDir;
import org.junit.jupiter.params.ParameterizedTest;
import org.junit.jupiter.params.provider.CsvSource;
import org.tallywire.acceptance.Rule;
import org.tallywire.testset.Checklist;
import org.yaml.snakeyaml.LoaderOptions;
import org.yaml.snakeyaml.Yaml;
import org.yaml.snakeyaml.constructor.SafeConstructor;

class ChecklistFileTest {

  private static final Path FOLDER = Path.of("../../shared/checklists");

  private static final String WHOLE =
      """
      name: ours
      moment: before
      about: invented
      items:
        - id: locked
          text: The supply is locked off.
          source: the shop
          certainty: practice
        - id: earthed
          text: The tank is earthed.
          source: the shop
          certainty: practice
      """;

  @TempDir private Path folder;

  @Test
  @DisplayName("Every shipped list is valid by the schema, listed, and the same inside the program")
  void shipped() throws Exception {
    Set<String> names = new TreeSet<>();
    List<Checklist.Moment> moments = new ArrayList<>();
    try (Stream<Path> files = Files.list(FOLDER)) {
      for (Path file : files.toList()) {
        assertEquals(List.of(), invalid(Files.readString(file)), file + "");
        Checklist list = ChecklistFile.read(file);
        assertEquals(file.getFileName() + "", list.name() + ".yaml");
        assertEquals(list, ChecklistFile.shipped(list.name()));
        names.add(list.name());
      }
    }
    assertEquals(names, new TreeSet<>(ChecklistFile.SHIPPED));
    for (String name : ChecklistFile.SHIPPED) {
      moments.add(ChecklistFile.shipped(name).moment());
    }
    assertEquals(List.of(Checklist.Moment.values()), moments, "one for each moment, in order");
  }

  @Test
  @DisplayName(
      "Each list defers to local codes and qualified persons, and calls nothing read that"
          + " has no source")
  void marks() throws Exception {
    for (String name : ChecklistFile.SHIPPED) {
      String text = Files.readString(FOLDER.resolve(name + ".yaml")).replaceAll("\\s+", " ");
      assertTrue(text.contains("Local law and codes"), name);
      assertTrue(text.contains("licensed or qualified persons come before it"), name);
      for (Checklist.Item item : ChecklistFile.shipped(name).items()) {
        assertEquals(
            item.certainty() == Rule.Certainty.PRACTICE,
            item.source().endsWith("usual practice"),
            item.id());
      }
    }
  }

  @Test
  @DisplayName("Schema and reader know the same moments and marks")
  void words() throws Exception {
    JsonNode schema =
        Json.MAPPER.readTree(Path.of("../../shared/schema/checklist-file.schema.json").toFile());
    assertEquals(
        Stream.of(Rule.Certainty.values()).map(Rule.Certainty::word).toList(),
        texts(schema.at("/properties/items/items/properties/certainty/enum")));
    assertEquals(
        Stream.of(Checklist.Moment.values()).map(Checklist.Moment::word).toList(),
        texts(schema.at("/properties/moment/enum")));
  }

  @ParameterizedTest
  @DisplayName("What the schema refuses the reader refuses too, at its line and column")
  @CsvSource(
      delimiter = '|',
      value = {
        "name: ours|name: Our list|line 1 column 7: name \"Our list\" is not a word",
        "moment: before|moment: soon|line 2 column 9: moment \"soon\" is not before, during or after",
        "moment: before|when: before|line 2 column 1: when is no key here",
        "  - id: locked|  - ident: locked|line 5 column 5: items[1].ident is no key here",
        "text: The supply is locked off.|text: ''|line 6 column 11: items[1].text is to be one text",
        "source: the shop|source: [the, shop]|line 7 column 13: items[1].source is to be one text",
        "certainty: practice|certainty: sure|line 8 column 16: items[1].certainty \"sure\" is not",
      })
  void wrong(String right, String wrong, String problem) throws Exception {
    assertEquals(List.of(), invalid(WHOLE));
    assertEquals("ours", read(WHOLE).name());
    String changed = WHOLE.replaceFirst(java.util.regex.Pattern.quote(right), wrong);
    assertNotEquals(WHOLE, changed);
    assertNotEquals(List.of(), invalid(changed), "the schema");
    List<String> problems = assertThrows(SetupException.class, () -> read(changed)).problems();
    assertTrue(problems.stream().anyMatch(p -> p.contains("ours.yaml " + problem)), problems + "");
  }

  @Test
  @DisplayName(
      "All problems are told at once; an id that stands twice is told where it stands again")
  void all() {
    String changed = WHOLE.replace("earthed\n", "locked\n").replace("ours", "a b");
    List<String> problems = assertThrows(SetupException.class, () -> read(changed)).problems();
    assertEquals(2, problems.size(), problems + "");
    assertTrue(problems.get(1).contains("line 9 column 9: items[2].id \"locked\" stands twice"));
    List<String> none =
        assertThrows(SetupException.class, () -> read("name: a\nmoment: after\nitems: []\n"))
            .problems();
    assertEquals(1, none.size(), none + "");
    assertTrue(none.get(0).contains("line 3 column 8: items holds no item"), none + "");
  }

  @Test
  @DisplayName("A name is a list that comes with the program, a path a file of the folder")
  void named() throws Exception {
    Files.writeString(folder.resolve("mine.yaml"), WHOLE);
    assertEquals("ours", ChecklistFile.named("mine.yaml", folder).name());
    assertEquals("after-bench-work", ChecklistFile.named("after-bench-work", folder).name());
    SetupException unknown =
        assertThrows(SetupException.class, () -> ChecklistFile.named("mine", folder));
    assertTrue(unknown.getMessage().contains("before-bench-work, during-bench-work"));
    SetupException missing =
        assertThrows(SetupException.class, () -> ChecklistFile.named("other.yaml", folder));
    assertTrue(missing.getMessage().contains("there is no such file"));
    assertFalse(missing.getMessage().contains("comes with it"));
  }

  private Checklist read(String text) throws Exception {
    Path file = folder.resolve("ours.yaml");
    Files.writeString(file, text);
    return ChecklistFile.read(file);
  }

  private static List<String> invalid(String yaml) throws Exception {
    Map<String, Object> tree = new Yaml(new SafeConstructor(new LoaderOptions())).load(yaml);
    return new Schemas()
        .problems(
            "checklist-file",
            Json.MAPPER.writeValueAsString(tree).getBytes(StandardCharsets.UTF_8));
  }

  private static List<String> texts(JsonNode array) {
    List<String> texts = new ArrayList<>();
    array.forEach(one -> texts.add(one.asText()));
    return texts;
  }
}
