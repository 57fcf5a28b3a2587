package org.tallywire.bridge;

import static org.junit.jupiter.api.Assertions.assertArrayEquals;
import static org.junit.jupiter.api.Assertions.assertEquals;
import static org.junit.jupiter.api.Assertions.assertTrue;

import java.io.StringWriter;
import java.nio.file.Files;
import java.nio.file.Path;
import java.nio.file.attribute.PosixFilePermissions;
import java.util.List;
import org.junit.jupiter.api.BeforeEach;
import org.junit.jupiter.api.DisplayName;
import org.junit.jupiter.api.Test;
import org.junit.jupiter.api.io.TempDir;
import org.tallywire.acceptance.TestPlan;
import org.tallywire.api.TimeSource;
import org.tallywire.format.CriteriaFile;
import org.tallywire.format.RecordFormat;
import org.tallywire.journal.Draft;
import org.tallywire.journal.Journal;
import org.tallywire.testset.TestSetEvent;
import picocli.CommandLine;

/** The commands report, verify and key beside a real journal (shared/record.md). */
class ReportCommandTest {

  @TempDir private Path folder;
  private Path data;
  private String said = "";

  @BeforeEach
  void journal() throws Exception {
    data = folder.resolve("data");
    var plate = Bench.nameplate(folder);
    TestSetEvent.Opened opened =
        new TestSetEvent.Opened(
            "T-1",
            Bench.NOW,
            List.of("bay-1"),
            plate,
            TestPlan.of(plate),
            CriteriaFile.shipped(CriteriaFile.DEFAULT));
    try (Journal journal = Journal.open(data, TimeSource.system())) {
      journal.append(
          List.of(
              new Draft(opened.id(), RecordFormat.TEST_SET, "bay-1", RecordFormat.write(opened))),
          List.of());
    }
  }

  private int run(Object... words) {
    StringWriter all = new StringWriter();
    CommandLine line = Tallywire.commandLine();
    line.setOut(Bench.console(all));
    line.setErr(Bench.console(all));
    int code =
        line.execute(java.util.Arrays.stream(words).map(Object::toString).toArray(String[]::new));
    said = all.toString();
    return code;
  }

  @Test
  @DisplayName(
      "A signed PDF and lines of an open test set; a changed one, another key, another head")
  void reportAndVerify() throws Exception {
    Path key = folder.resolve("shop.key");
    assertEquals(Tallywire.OK, run("key", "new", key));
    String open = said.strip().lines().reduce((a, b) -> b).orElseThrow();
    assertEquals("rw-------", PosixFilePermissions.toString(Files.getPosixFilePermissions(key)));
    byte[] before = Files.readAllBytes(key);
    assertEquals(Tallywire.SETUP, run("key", "new", key));
    assertTrue(said.contains("never written over"), said);
    assertArrayEquals(before, Files.readAllBytes(key));

    for (String name : List.of("r.pdf", "r.jsonl")) {
      Path file = folder.resolve(name);
      assertEquals(
          Tallywire.NOT_AS_IT_SHOULD_BE, run("report", data, "T-1", "--out", file, "--key", key));
      assertTrue(said.contains("Incomplete: The test set is not closed"), said);
      String head =
          said.lines()
              .filter(l -> l.startsWith("Head"))
              .findFirst()
              .orElseThrow()
              .replaceFirst(".*: ", "");
      assertEquals(
          Tallywire.OK,
          run("verify", file, "--key", open, "--head", head, "--data", data),
          () -> said);
      assertTrue(said.contains("Unchanged since it was signed with the key " + open), said);
      assertEquals(Tallywire.OK, run("verify", file, "--key", key), () -> said);
      assertEquals(
          Tallywire.NOT_AS_IT_SHOULD_BE,
          run("verify", file, "--head", head.replaceAll(":.*", ":" + "0".repeat(64))));
      assertTrue(said.contains("NOT the one that was kept"), said);

      byte[] changed = Files.readAllBytes(file);
      changed[changed.length / 2] ^= 1;
      Path other = Files.write(folder.resolve("other-" + name), changed);
      assertEquals(Tallywire.NOT_AS_IT_SHOULD_BE, run("verify", other));
    }
  }

  @Test
  @DisplayName("A page without seal; what cannot be is said with what to do")
  void refusals() throws Exception {
    Path page = folder.resolve("r.html");
    assertEquals(Tallywire.NOT_AS_IT_SHOULD_BE, run("report", data, "T-1", "--out", page));
    assertTrue(Files.readString(page).contains("INCOMPLETE"));
    assertEquals(Tallywire.SETUP, run("report", data, "T-1", "--out", page));
    assertTrue(said.contains("nothing is written over"), said);
    Path pdf = folder.resolve("r.pdf");
    assertEquals(Tallywire.SETUP, run("report", data, "T-2", "--out", pdf));
    assertTrue(said.contains("test set \"T-2\""), said);
    assertEquals(Tallywire.SETUP, run("report", data, "T-1", "--out", pdf, "--key", page));
    assertTrue(said.contains("tallywire key new"), said);
    assertEquals(Tallywire.SETUP, run("report", data, "T-1", "--out", "r.doc"));
    assertTrue(said.contains(".pdf, .html or .jsonl"), said);
    assertEquals(Tallywire.SETUP, run("verify", page, "--head", "12"));
    assertEquals(Tallywire.SETUP, run("verify", folder.resolve("none.pdf")));
    assertEquals(Tallywire.NOT_AS_IT_SHOULD_BE, run("verify", page));
    assertTrue(said.contains("not a seal"), said);
  }
}
