package org.tallywire.format;

import static org.junit.jupiter.api.Assertions.assertEquals;
import static org.junit.jupiter.api.Assertions.assertFalse;
import static org.junit.jupiter.api.Assertions.assertThrows;
import static org.junit.jupiter.api.Assertions.assertTrue;

import java.io.IOException;
import java.nio.charset.StandardCharsets;
import java.nio.file.Files;
import java.nio.file.Path;
import java.util.List;
import java.util.Set;
import java.util.stream.Collectors;
import org.junit.jupiter.api.BeforeEach;
import org.junit.jupiter.api.DisplayName;
import org.junit.jupiter.api.Test;
import org.junit.jupiter.api.io.TempDir;
import org.tallywire.acceptance.PlanOptions;
import org.tallywire.acceptance.PlanOptions.TestKind;
import org.tallywire.acceptance.RatioBasis;

class JobFileTest {

  private static final String PLATE =
      """
      {
        "asset": "HL-0231", "group": "Dyn11", "rated-power": 250,
        "hv-voltage": 11000, "lv-voltage": 433, "frequency": 50,
        "taps": [{"position": 1, "voltage": 11550}, {"position": 2, "voltage": "11000"}],
        "principal-tap": 2, "hv-conductor": "copper", "lv-conductor": "aluminium"
      }""";

  private static final String JOB =
      """
      {
      \t"id": "set-1",
      \t"nameplate": %s,
      \t"stations": ["bay-1", "bay-2"],
      \t"criteria": "distribution-oil"
      }
      """
          .formatted(PLATE);

  @TempDir private Path folder;

  private Schemas schemas;

  @BeforeEach
  void schemas() throws IOException {
    schemas = new Schemas();
  }

  @Test
  @DisplayName("A plate inside the job, a plate beside it, JSON and YAML: the same job")
  void sameJob() throws Exception {
    Job inline = read("job.json", JOB);
    assertEquals(List.of(), invalid(JOB));
    assertEquals("set-1", inline.id());
    assertEquals("HL-0231", inline.nameplate().asset());
    assertEquals(List.of("bay-1", "bay-2"), inline.stations());
    assertEquals("distribution-oil", inline.criteria().name());
    assertEquals(2 * 3 + 6, inline.plan().steps().size());

    Files.createDirectories(folder.resolve("plates"));
    Files.writeString(folder.resolve("plates/HL-0231.yaml"), PLATE);
    String beside = JOB.replace(PLATE, "\"plates/HL-0231.yaml\"");
    assertEquals(List.of(), invalid(beside));
    assertEquals(inline, read("beside.json", beside));
    assertEquals(
        inline,
        read(
            "job.yaml",
            """
            id: set-1            # one campaign
            nameplate: plates/HL-0231.yaml
            stations: [bay-1, bay-2]
            """));
  }

  @Test
  @DisplayName("Criteria are a shipped profile's name, a word without a dot, or a path")
  void criteria() throws Exception {
    String own =
        """
        name: own
        version: "1"
        about: For a test.
        criteria:
          ratio-deviation:
            limit: "0.5"
            uncertainty: "0.1"
            rule: {text: Within 0.5 %., source: invented, certainty: practice}
        """;
    Files.writeString(folder.resolve("own.yaml"), own);
    assertEquals(
        "own",
        read("a.json", JOB.replace("\"distribution-oil\"", "\"own.yaml\"")).criteria().name());
    assertEquals("distribution-oil", read("b.json", JOB).criteria().name());
    assertTrue(
        problems(JOB.replace("distribution-oil\"\n", "nobodys\"\n"))
            .toString()
            .contains("nobodys"));
  }

  @Test
  @DisplayName("Every mistake is told at once, in the plate inside it as well; the schema agrees")
  void mistakes() {
    List<String> problems =
        problems(
            JOB.replace("set-1", "set 1")
                .replace("Dyn11", "Dyn12")
                .replace("\"frequency\"", "\"frequenzy\"")
                .replace("bay-2", "bay 2")
                .replace("\"distribution-oil\"", "\"nowhere/criteria.yaml\"")
                .replace("\"criteria\"", "\"note\": \"x\", \"criteria\""));
    for (String expected :
        List.of(
            "line 2 column 8: id \"set 1\" is not 1 to 64 of A-Z a-z 0-9 _ -",
            "nameplate.group \"Dyn12\" is not a winding group such as Dyn11",
            "nameplate.frequency is missing",
            "nameplate.frequenzy is no key here",
            "\"bay 2\" is not 1 to 64 of",
            "nowhere/criteria.yaml: there is no such file",
            "note is no key here")) {
      assertEquals(
          1, problems.stream().filter(p -> p.contains(expected)).count(), expected + problems);
    }
    assertEquals(7, problems.size(), problems.toString());
  }

  @Test
  @DisplayName("What the reader refuses for its form the schema refuses too")
  void bothRefuse() {
    for (String wrong :
        List.of(
            JOB.replace("\"id\"", "\"ids\""),
            JOB.replace("set-1", "x".repeat(65)),
            JOB.replace("[\"bay-1\", \"bay-2\"]", "[]"),
            JOB.replace("[\"bay-1\", \"bay-2\"]", "\"bay-1\""),
            JOB.replace("[\"bay-1\", \"bay-2\"]", "[\"bay 1\"]"),
            JOB.replace(PLATE, "[]"),
            JOB.replace(PLATE, "\"\""),
            JOB.replace("\"asset\"", "\"assets\""),
            JOB.replace("\"criteria\"", "\"criterion\""),
            JOB.replace("\"distribution-oil\"", "{}"))) {
      assertFalse(problems(wrong).isEmpty(), wrong);
      assertFalse(invalid(wrong).isEmpty(), wrong);
    }
  }

  @Test
  @DisplayName("The tests of the plan and the ratio's basis are asked for as in the configuration")
  void plan() throws Exception {
    String words =
        TestKind.words().stream().map("\"%s\""::formatted).collect(Collectors.joining(", "));
    String all = withKeys("\"tests\": [%s], \"ratio-basis\": \"winding\"".formatted(words));
    assertEquals(List.of(), invalid(all));
    Job job = read("job.json", all);
    assertEquals(new PlanOptions(Set.of(TestKind.values()), RatioBasis.WINDING), job.options());
    assertTrue(job.plan().steps().size() > read("usual.json", JOB).plan().steps().size());
    String every = withKeys("\"resistance-taps\": \"every\"");
    assertEquals(List.of(), invalid(every));
    assertEquals(
        PlanOptions.ResistanceTaps.EVERY, read("every.json", every).options().resistanceTaps());
    for (String wrong :
        List.of(
            "\"resistance-taps\": \"all\"",
            "\"tests\": []",
            "\"tests\": [\"noise\"]",
            "\"ratio-basis\": \"upside\"")) {
      assertEquals(1, problems(withKeys(wrong)).size(), wrong);
      assertFalse(invalid(withKeys(wrong)).isEmpty(), wrong);
    }
  }

  private static String withKeys(String keys) {
    return JOB.replace("\"criteria\"", keys + ", \"criteria\"");
  }

  @Test
  @DisplayName("A plate whose lines do not go together is told as well, beside the other mistakes")
  void doNotGoTogether() {
    List<String> problems = problems(JOB.replace("\"11000\"", "10000").replace("set-1", "set 1"));
    assertEquals(2, problems.size(), problems.toString());
  }

  private Job read(String name, String text) throws IOException, SetupException {
    Path file = folder.resolve(name);
    Files.writeString(file, text);
    return JobFile.read(file);
  }

  private List<String> problems(String text) {
    return assertThrows(SetupException.class, () -> read("wrong.json", text), text).problems();
  }

  private List<String> invalid(String text) {
    return schemas.problems("job", text.replace('\t', ' ').getBytes(StandardCharsets.UTF_8));
  }
}
