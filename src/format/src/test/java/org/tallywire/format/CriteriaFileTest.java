package org.tallywire.format;

import static org.junit.jupiter.api.Assertions.assertEquals;
import static org.junit.jupiter.api.Assertions.assertFalse;
import static org.junit.jupiter.api.Assertions.assertThrows;
import static org.junit.jupiter.api.Assertions.assertTrue;

import java.io.IOException;
import java.math.BigDecimal;
import java.nio.charset.StandardCharsets;
import java.nio.file.Files;
import java.nio.file.Path;
import java.security.MessageDigest;
import java.util.HexFormat;
import java.util.List;
import java.util.Optional;
import java.util.stream.Stream;
import org.junit.jupiter.api.DisplayName;
import org.junit.jupiter.api.Test;
import org.junit.jupiter.api.io.TempDir;
import org.tallywire.acceptance.CriteriaTable;
import org.tallywire.acceptance.Criterion;
import org.tallywire.acceptance.Criterion.Kind;
import org.tallywire.acceptance.Repeatability;
import org.tallywire.acceptance.Rule;
import org.tallywire.acceptance.resistance.ConductorConstants;
import org.tallywire.acceptance.uncertainty.Accuracy;
import org.tallywire.acceptance.uncertainty.Decision;
import org.tallywire.testset.TestSetEvent;

/** What a table of criteria is after its files have been read. */
class CriteriaFileTest {

  private static final String RULE =
      "\"rule\": {\"text\": \"ours\", \"source\": \"the shop\", \"certainty\": \"practice\"}";

  private static final String OURS =
      """
      {"name": "ours", "version": "3", "about": "invented", "extends": "distribution-oil",
       "decision": {"rounding": "to-limit"},
       "accuracies": {
         "turns-ratio": {"percent-of-reading": "0.05", "digits": "2", "coverage": "2"},
         "test-current": {"percent-of-range": "0.1", "range": "20", "absolute": "0.001"}},
       "repeatability": {"turns-ratio": {"percent": "0.010", "readings": "10"}},
       "criteria": {
         "ratio-deviation": {"limit": "0.40", "uncertainty": null, RULE},
         "ratio-spread": {"uncertainty": "0.05"},
         "ratio-steps": null}}
      """
          .replace("RULE", RULE);

  @TempDir private Path folder;

  @Test
  @DisplayName("A file gives what differs from the one it extends; the rest is as it is there")
  void extending() throws Exception {
    CriteriaTable base = CriteriaFile.shipped("distribution-oil");
    CriteriaTable ours = read("ours.json", OURS);
    assertEquals("ours", ours.name());
    assertEquals("3", ours.version());
    assertEquals(
        Decision.guarded(BigDecimal.ONE).rounding(Decision.Rounding.TO_LIMIT), ours.decision());
    assertEquals(ConductorConstants.IEEE, ours.conductors());
    Criterion ratio = ours.criterion(Kind.RATIO_DEVIATION).orElseThrow();
    assertEquals("0.40", ratio.word("limit"));
    assertTrue(ratio.flag("tenth-of-impedance"), "left as it is in the file below");
    assertEquals(Optional.empty(), ratio.uncertainty());
    assertEquals(new Rule("ours", "the shop", Rule.Certainty.PRACTICE), ratio.rule());
    Criterion spread = ours.criterion(Kind.RATIO_SPREAD).orElseThrow();
    assertEquals(Optional.of(new BigDecimal("0.05")), spread.uncertainty());
    assertEquals(base.criterion(Kind.RATIO_SPREAD).orElseThrow().rule(), spread.rule());
    assertEquals(Optional.empty(), ours.criterion(Kind.RATIO_STEPS));
    assertEquals(base.criterion(Kind.TEST_CURRENT), ours.criterion(Kind.TEST_CURRENT));
    Accuracy accuracy =
        Accuracy.ofReading(new BigDecimal("0.05"))
            .andDigits(new BigDecimal("2"))
            .expandedWith(new BigDecimal("2"));
    assertEquals(accuracy, ours.accuracies().get("turns-ratio"));
    assertEquals(new BigDecimal("20"), ours.accuracies().get("test-current").range());
    assertEquals(
        base.accuracies().get("winding-resistance"), ours.accuracies().get("winding-resistance"));
    assertEquals(
        new Repeatability(new BigDecimal("0.010"), 10), ours.repeatability().get("turns-ratio"));
  }

  @Test
  @DisplayName("A chain of files beside each other: the first that gives something holds")
  void chain() throws Exception {
    write("ours.json", OURS);
    write(
        "bay.yaml",
        """
        name: bay 2
        version: "1"
        about: the same with a guard, in YAML
        extends: ours.json
        decision: {guard: "0.5"}
        accuracies: {test-current: null}
        criteria:
          ratio-spread: {uncertainty: "0.07"}
          test-current: null
        """);
    CriteriaTable bay = CriteriaFile.named("bay.yaml", folder);
    assertEquals(new BigDecimal("0.5"), bay.decision().guard());
    assertEquals(Decision.Rounding.TO_LIMIT, bay.decision().rounding());
    assertFalse(bay.accuracies().containsKey("test-current"));
    assertEquals(Optional.empty(), bay.criterion(Kind.TEST_CURRENT));
    assertEquals("0.40", bay.criterion(Kind.RATIO_DEVIATION).orElseThrow().word("limit"));
    assertEquals(
        Optional.of(new BigDecimal("0.07")),
        bay.criterion(Kind.RATIO_SPREAD).orElseThrow().uncertainty());
    // what one file took away, one above can give again, and then nothing comes from below
    write(
        "again.json",
        "{\"name\": \"a\", \"version\": \"1\", \"about\": \"a\", \"extends\": \"bay.yaml\","
            + " \"criteria\": {\"test-current\": {\"limit\": \"12\", "
            + RULE
            + "}}}");
    String problem = problems("again.json").toString();
    assertTrue(problem.contains("caution is missing; least-of-no-load is missing"), problem);
  }

  @Test
  @DisplayName("The digest covers every file of the chain, as sha256sum gives it")
  void digest() throws Exception {
    String base = Files.readString(Path.of("../../shared/criteria/distribution-oil.json"));
    assertEquals(sha256(base), CriteriaFile.shipped("distribution-oil").digest());
    assertEquals(
        sha256(sha256(OURS) + "\n" + sha256(base) + "\n"), read("ours.json", OURS).digest());
  }

  @Test
  @DisplayName("A circle, a long chain, a path and a file that is not there are refused")
  void noChain() throws Exception {
    for (String file : List.of("a.json", "b.json")) {
      write(file, extending(file.equals("a.json") ? "b.json" : "a.json"));
    }
    assertTrue(problems("a.json").toString().contains("\"a.json\" goes round in a circle"));
    write("self.json", extending("self.json"));
    assertTrue(problems("self.json").toString().contains("circle"));
    for (int i = 1; i <= 9; i++) {
      write("c" + i + ".json", extending(i == 1 ? "distribution-oil" : "c" + (i - 1) + ".json"));
    }
    assertEquals("a", CriteriaFile.read(folder.resolve("c7.json")).name());
    assertTrue(problems("c8.json").toString().contains("a chain of more than 8 files"));
    for (String wrong : List.of("../x.json", "sub/x.json", "x.json", "moon", "..", "./a.json")) {
      String problem = problems("w.json", extending(wrong)).toString();
      assertTrue(problem.contains("w.json line 1 column "), problem);
      assertTrue(problem.contains("extends \"" + wrong + "\" is neither a profile"), problem);
    }
    write("wrong.json", "{\"name\": ");
    assertTrue(problems("w.json", extending("wrong.json")).toString().contains("wrong.json"));
    assertTrue(
        assertThrows(SetupException.class, () -> CriteriaFile.named("moon", folder))
            .getMessage()
            .contains("distribution-oil"));
  }

  private static String extending(String base) {
    return "{\"name\": \"a\", \"version\": \"1\", \"about\": \"a\", \"extends\": \"%s\"}"
        .formatted(base);
  }

  @Test
  @DisplayName("Every mistake of a chain is told at once, with file, line and column")
  void mistakes() throws Exception {
    write(
        "base.json",
        """
        {"name": "b", "version": "1", "about": "b",
         "criteria": {
        \t"ratio-deviation": {"limit": "-1", RULE},
        \t"test-current": {"limit": "15", RULE}}}
        """
            .replace("RULE", RULE));
    List<String> problems =
        problems(
            "top.json",
            """
            {"name": "t", "version": "1", "about": "t", "extends": "base.json",
             "decision": {"guard": "-1", "rounding": "up"},
             "accuracies": {"turns-ratio": {"coverage": "2"}, "moon": {"absolute": "1"}},
             "repeatability": {"turns-ratio": {"percent": "0.1", "readings": "1"}},
             "criteria": {
               "ratio-spread": {"limit": "0.3"},
               "ratio-change": null,
               "phase-displacement": {"limit": "1", RULE},
               "resistance-unbalance": {"limit": "1", "of": "moon", "uncertainty": "-1", RULE}}}
            """
                .replace("RULE", RULE));
    for (String expected :
        List.of(
            "base.json line 3 column 31: criteria.ratio-deviation.limit is -1, which is not above",
            "base.json line 2 column 14: ", // resistances of the setting that is missing follow
            "top.json line 2 column 14: decision has the guard -1",
            "decision.rounding \"up\" is not absolute or to-limit",
            "accuracies.turns-ratio.percent-of-reading is missing",
            "accuracies.moon is no key here",
            "repeatability.turns-ratio.readings \"1\" is not a whole number from 2 to 1000",
            "criteria.ratio-spread.rule is missing",
            "criteria takes away ratio-change, which is not there without it",
            "criteria phase-displacement states no uncertainty, and the table no accuracy of"
                + " phase-displacement to compute it from: write one of them",
            "criteria.resistance-unbalance.of \"moon\" is not one of as-read, phases",
            "criteria.resistance-unbalance.uncertainty is -1, which is below zero",
            "criteria test-current cannot be: caution is missing")) {
      assertTrue(
          problems.stream().anyMatch(p -> p.contains(expected)),
          expected + "\n" + String.join("\n", problems));
    }
  }

  @Test
  @DisplayName("A shop's YAML file of the first version is read as before")
  void firstVersion() throws Exception {
    CriteriaTable table =
        read(
            "old.yaml",
            """
            # ours
            name: Hollow Lane
            version: "1"
            about: >-
              invented
            criteria:
              ratio-deviation:
                limit: "0.5"
                tenth-of-impedance: true
                # practice
                uncertainty: "0.1"
                rule: {text: ours, source: the shop, certainty: practice}
            """);
    assertEquals(1, table.criteria().size());
    assertTrue(table.criteria().get(0).flag("tenth-of-impedance"));
    assertEquals(Decision.guarded(BigDecimal.ONE), table.decision());
    assertEquals(ConductorConstants.IEEE, table.conductors());
  }

  @Test
  @DisplayName("A table without a criterion judges nothing and is refused")
  void empty() throws Exception {
    String empty = "{\"name\": \"a\", \"version\": \"1\", \"about\": \"a\", \"criteria\": {}}";
    assertTrue(problems("a.json", empty).toString().contains("holds no criterion to judge by"));
  }

  @Test
  @DisplayName("JSON with tabs and escapes is read as JSON")
  void tabs() throws Exception {
    String tabs = OURS.replace(" ", "\t").replace("the\tshop", "the shop \\u00e9\\/\\\\/\\\"\\n");
    Rule rule = read("tabs.json", tabs).criterion(Kind.RATIO_DEVIATION).orElseThrow().rule();
    assertEquals("the shop é/\\/\"\n", rule.source());
  }

  @Test
  @DisplayName("The record of an opened test set embeds the whole table, and it comes back equal")
  void recorded() throws Exception {
    Schemas schemas = new Schemas();
    List<CriteriaTable> tables =
        Stream.concat(
                CriteriaFile.SHIPPED.stream().map(CriteriaFileTest::shipped),
                Stream.of(read("ours.json", OURS)))
            .toList();
    for (CriteriaTable table : tables) {
      TestSetEvent.Opened one = Samples.opened();
      byte[] json =
          RecordFormat.write(
              new TestSetEvent.Opened(
                  one.testSet(), one.at(), one.stations(), one.nameplate(), one.plan(), table));
      assertEquals(List.of(), schemas.problems("test-set", json), table.name());
      TestSetEvent.Opened back = (TestSetEvent.Opened) RecordFormat.testSetEvent(json);
      assertEquals(table, back.criteria());
    }
    byte[] json = RecordFormat.write(Samples.opened());
    String text = new String(json, StandardCharsets.UTF_8);
    for (String member : List.of("decision", "conductors", "accuracies", "repeatability")) {
      String without = text.replace("\"" + member + "\":", "\"moon\":");
      assertFalse(
          schemas.problems("test-set", without.getBytes(StandardCharsets.UTF_8)).isEmpty(), member);
    }
  }

  @Test
  @DisplayName("The README's example is a right table, and a profile is named by its word")
  void readme() throws Exception {
    String readme = Files.readString(Path.of("../../README.md"));
    int start = readme.indexOf("```json\n") + 8;
    String example = readme.substring(start, readme.indexOf("```", start));
    byte[] bytes = example.getBytes(StandardCharsets.UTF_8);
    assertEquals(List.of(), new Schemas().problems("criteria", bytes));
    CriteriaTable table = read("hollow-lane.json", example);
    assertEquals("hollow-lane", table.name());
    assertEquals(
        Optional.empty(), table.criterion(Kind.RATIO_DEVIATION).orElseThrow().uncertainty());
    assertEquals(ConductorConstants.IEC, table.conductors());
    assertEquals(table, CriteriaFile.named("hollow-lane.json", folder));
    assertEquals("iec-60076-1", CriteriaFile.named("iec-60076-1", folder).name());
    write("ours", example);
    assertEquals("hollow-lane", CriteriaFile.named("ours", folder).name());
  }

  private static CriteriaTable shipped(String name) {
    try {
      return CriteriaFile.shipped(name);
    } catch (SetupException e) {
      throw new AssertionError(name, e);
    }
  }

  private void write(String name, String text) throws IOException {
    Files.writeString(folder.resolve(name), text);
  }

  private CriteriaTable read(String name, String text) throws IOException, SetupException {
    write(name, text);
    return CriteriaFile.read(folder.resolve(name));
  }

  private List<String> problems(String name, String text) throws IOException {
    write(name, text);
    return problems(name);
  }

  private List<String> problems(String name) {
    return assertThrows(SetupException.class, () -> CriteriaFile.read(folder.resolve(name)))
        .problems();
  }

  private static String sha256(String text) throws Exception {
    return HexFormat.of()
        .formatHex(
            MessageDigest.getInstance("SHA-256").digest(text.getBytes(StandardCharsets.UTF_8)));
  }
}
