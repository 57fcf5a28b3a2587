package org.tallywire.journal;

import static org.junit.jupiter.api.Assertions.assertEquals;
import static org.junit.jupiter.api.Assertions.assertFalse;
import static org.junit.jupiter.api.Assertions.assertTrue;
import static org.junit.jupiter.api.Assumptions.assumeTrue;

import java.io.BufferedReader;
import java.io.File;
import java.nio.charset.StandardCharsets;
import java.nio.file.Files;
import java.nio.file.Path;
import java.util.ArrayList;
import java.util.List;
import java.util.Optional;
import java.util.concurrent.TimeUnit;
import java.util.regex.Matcher;
import java.util.regex.Pattern;
import java.util.stream.Stream;
import org.junit.jupiter.api.Test;
import org.junit.jupiter.api.Timeout;
import org.junit.jupiter.api.io.TempDir;
import org.tallywire.api.TimeSource;

/**
 * The examples of shared/journal.md, run as they stand there on a journal that is being written.
 */
@Timeout(120)
class DocumentTest {

  private static final Path PAGE = Path.of("../../shared/journal.md");
  private static final Pattern EXAMPLE = Pattern.compile("```sh\n(.*?)```", Pattern.DOTALL);

  @TempDir Path folder;

  @Test
  void itsExamplesWorkBesideABridge() throws Exception {
    requireProgram();
    Path data = folder.resolve("data");
    Path work = Files.createDirectory(folder.resolve("work"));
    Process writer = OtherProcess.start(data, "other");
    List<String> answers = new ArrayList<>();
    try (BufferedReader output = OtherProcess.output(writer)) {
      for (int i = 1; i <= 20; i++) {
        assertEquals("other-" + i, output.readLine());
      }
      Matcher examples = EXAMPLE.matcher(Files.readString(PAGE));
      while (examples.find()) {
        answers.add(run(work, data, examples.group(1)));
      }
      assertTrue(output.readLine().startsWith("other-"), "the writer goes on");
      assertTrue(writer.isAlive());
    } finally {
      writer.destroyForcibly();
      assertTrue(writer.waitFor(10, TimeUnit.SECONDS));
    }
    assertEquals(6, answers.size(), answers.toString());
    assertEquals("2\n", answers.get(0));
    assertTrue(answers.get(1).contains("bay-1"), answers.get(1));
    assertTrue(answers.get(1).contains("{\"record\":\"reading\""), answers.get(1));
    assertTrue(answers.get(2).startsWith("reading|"), answers.get(2));
    assertTrue(answers.get(3).contains("\n1,bay-1,other-1\n"), answers.get(3));
    assertEquals("ok\n", answers.get(4));
    assertEquals("ok\n", answers.get(5));
    for (String copy : List.of("copy.db", "backup.db")) {
      requireJournal(work.resolve(copy), folder.resolve("from-" + copy));
    }
  }

  /** Every table and column there is stands in the page. */
  @Test
  void itNamesEveryTableAndColumn() throws Exception {
    String page = Files.readString(PAGE);
    Path data = folder.resolve("data");
    Journal.open(data, TimeSource.system()).close();
    try (ReadConnections connections = new ReadConnections(new Database(data, 0))) {
      List<String> names =
          connections.snapshot(
              connection -> {
                List<String> found = new ArrayList<>();
                try (var statement = connection.createStatement();
                    var rows =
                        statement.executeQuery(
                            "SELECT DISTINCT c.name FROM sqlite_master m, pragma_table_info(m.name) c"
                                + " UNION SELECT name FROM sqlite_master WHERE type = 'table'")) {
                  while (rows.next()) {
                    found.add(rows.getString(1));
                  }
                }
                return found;
              });
      assertTrue(names.size() > 20, names.toString());
      for (String name : names) {
        assertTrue(Pattern.compile("\\|[^|]*\\b" + name + "\\b").matcher(page).find(), name);
      }
    }
  }

  private static void requireJournal(Path copy, Path folder) throws Exception {
    Files.createDirectory(folder);
    Files.move(copy, folder.resolve("journal.db"));
    try (Journal journal = Journal.open(folder, TimeSource.system())) {
      assertTrue(journal.head() >= 20);
      assertEquals(Optional.empty(), journal.verify());
    }
  }

  private static String run(Path work, Path data, String example) throws Exception {
    ProcessBuilder builder = new ProcessBuilder("sh", "-eu", "-c", example);
    builder.directory(work.toFile()).redirectErrorStream(true);
    builder.environment().put("DATA", data.toString());
    Process process = builder.start();
    String output = new String(process.getInputStream().readAllBytes(), StandardCharsets.UTF_8);
    assertTrue(process.waitFor(20, TimeUnit.SECONDS), output);
    assertEquals(0, process.exitValue(), example + output);
    assertFalse(output.contains("Error"), example + output);
    return output;
  }

  private static void requireProgram() {
    String path = Optional.ofNullable(System.getenv("PATH")).orElse("");
    boolean there =
        Stream.of(path.split(File.pathSeparator))
            .anyMatch(place -> Files.isExecutable(Path.of(place, "sqlite3")));
    assertTrue(there || !"true".equals(System.getenv("CI")), "CI has no program sqlite3");
    assumeTrue(there, "there is no program sqlite3");
  }
}
