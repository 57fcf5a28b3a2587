package org.tallywire.bridge;

import static org.junit.jupiter.api.Assertions.assertArrayEquals;
import static org.junit.jupiter.api.Assertions.assertEquals;
import static org.junit.jupiter.api.Assertions.assertTrue;

import java.io.BufferedWriter;
import java.io.File;
import java.io.IOException;
import java.nio.charset.StandardCharsets;
import java.nio.file.Files;
import java.nio.file.Path;
import java.util.ArrayList;
import java.util.List;
import java.util.concurrent.TimeUnit;
import org.junit.jupiter.api.BeforeEach;
import org.junit.jupiter.api.DisplayName;
import org.junit.jupiter.api.Test;
import org.junit.jupiter.api.io.TempDir;
import org.junit.jupiter.api.parallel.Execution;
import org.junit.jupiter.api.parallel.ExecutionMode;
import org.junit.jupiter.api.parallel.ResourceLock;

/**
 * {@code judge}, {@code export} and {@code recheck} as a user has them: the packaged jar and pipes.
 *
 * <p>{@code -Dtallywire.lines=1000000} makes the stream of the first test as long.
 */
@Execution(ExecutionMode.CONCURRENT)
@ResourceLock("processor") // times are checked here, or much is computed
class JudgeIT {

  private static final Path JAR = Path.of("target/tallywire.jar").toAbsolutePath();
  private static final int LINES = Integer.getInteger("tallywire.lines", 50_000);

  /** One criterion, so that the test is quick; a reading costs the same memory with many. */
  private static final String CRITERIA =
      """
      name: ratio-alone
      version: "1"
      about: For a test.
      criteria:
        ratio-deviation:
          limit: "0.5"
          tenth-of-impedance: "true"
          uncertainty: "0.1"
          rule: {text: Within 0.5 %., source: invented, certainty: practice}
      """;

  @TempDir private Path folder;

  @BeforeEach
  void files() throws IOException {
    try (var plate = Demo.class.getResourceAsStream("demo-nameplate.yaml")) {
      Files.write(folder.resolve("plate.yaml"), plate.readAllBytes());
    }
    Files.writeString(folder.resolve("criteria.yaml"), CRITERIA);
    Files.writeString(
        folder.resolve("job.json"),
        """
        {"id": "set-1", "nameplate": "plate.yaml", "stations": ["bay-1"],
         "criteria": "criteria.yaml"}
        """);
  }

  @Test
  @DisplayName("A stream of any length is judged in constant memory, the same way each time")
  void constantMemory() throws Exception {
    write(folder.resolve("records.jsonl"), LINES);
    String heap = LINES > 100_000 ? "-Xmx64m" : "-Xmx32m";
    long start = System.nanoTime();
    Process first = judge(heap, "records.jsonl", "first.jsonl");
    assertEquals(0, end(first), this::told);
    System.out.printf(
        "JudgeIT: %d readings judged with %s in %d ms%n",
        LINES, heap, TimeUnit.NANOSECONDS.toMillis(System.nanoTime() - start));
    assertTrue(told().contains("booked    %d readings by their labels".formatted(LINES)), told());
    try (var lines = Files.lines(folder.resolve("first.jsonl"))) {
      assertEquals(LINES, lines.count());
    }
    write(folder.resolve("few.jsonl"), 3000);
    assertEquals(0, end(judge(heap, "few.jsonl", "second.jsonl")), this::told);
    byte[] few = Files.readAllBytes(folder.resolve("second.jsonl"));
    try (var begin = Files.newInputStream(folder.resolve("first.jsonl"))) {
      assertArrayEquals(few, begin.readNBytes(few.length), "another run, the same bytes");
    }
    assertTrue(Files.notExists(folder.resolve("tallywire.log")), "it leaves nothing behind");
  }

  @Test
  @DisplayName("A reader that goes away ends it soon, without a trace of a fault")
  void brokenPipe() throws Exception {
    write(folder.resolve("records.jsonl"), 20_000);
    Process judge =
        start(folder.resolve("records.jsonl"), null, "-Xmx24m", "judge", "--job", "job.json");
    judge.getInputStream().read();
    judge.getInputStream().close();
    assertEquals(Tallywire.NOT_AS_IT_SHOULD_BE, end(judge), this::told);
    assertTrue(told().contains("the output could not be written beyond record"), told());
    assertTrue(!told().contains("Exception"), told());
  }

  @Test
  @DisplayName("What the demo recorded: exported, judged and rechecked, byte for byte")
  void demo() throws Exception {
    Process demo = start(null, "demo.txt", "-Xmx256m", "demo", "--once", "--data", "day");
    assertEquals(0, end(demo), this::told);
    Path records = folder.resolve("records.jsonl");
    assertEquals(0, end(start(null, "records.jsonl", "-Xmx64m", "export", "day")), this::told);
    assertEquals(
        0,
        end(start(null, "verdicts.jsonl", "-Xmx64m", "export", "day", "--kind", "verdict")),
        this::told);
    String id =
        Files.readAllLines(records).stream()
            .map(r -> Records.member(r, "testSet"))
            .filter(set -> !set.isEmpty())
            .findFirst()
            .orElseThrow();
    Files.writeString(
        folder.resolve("job.yaml"),
        "id: %s\nnameplate: day/nameplate.yaml\nstations: [bay-1]\n".formatted(id));
    assertEquals(
        0,
        end(start(records, "judged.jsonl", "-Xmx64m", "judge", "--job", "job.yaml")),
        this::told);
    assertTrue(Files.size(folder.resolve("judged.jsonl")) > 10_000);
    assertEquals(
        -1, Files.mismatch(folder.resolve("verdicts.jsonl"), folder.resolve("judged.jsonl")));

    assertEquals(0, end(start(null, "out.txt", "-Xmx64m", "recheck", "records.jsonl")));
    assertEquals(0, end(start(null, "out2.txt", "-Xmx64m", "recheck", "day")));
    assertEquals(0, end(start(records, "out3.txt", "-Xmx64m", "recheck", "-")));
    for (String out : List.of("out.txt", "out2.txt", "out3.txt")) {
      String text = Files.readString(folder.resolve(out));
      assertTrue(text.contains("verdicts derived again agree, to the last digit"), text);
    }
  }

  @Test
  @DisplayName("A job with mistakes starts nothing and tells them all; so does a wrong kind")
  void setup() throws Exception {
    Files.writeString(
        folder.resolve("wrong.json"), "{\"id\": \"a b\", \"nameplate\": \"nowhere\"}");
    assertEquals(
        Tallywire.SETUP, end(start(null, "out", "-Xmx64m", "judge", "--job", "wrong.json", "x")));
    for (String part : List.of("3 problems", "id \"a b\"", "nowhere: there is no", "no station")) {
      assertTrue(told().contains(part), told());
    }
    assertEquals(
        Tallywire.SETUP,
        end(start(null, "out", "-Xmx64m", "judge", "--job", "job.json", "nowhere.jsonl")));
    assertEquals(
        Tallywire.SETUP, end(start(null, "out", "-Xmx64m", "export", ".", "--kind", "noise")));
    assertEquals(Tallywire.SETUP, end(start(null, "out", "-Xmx64m", "recheck", "nowhere")));
  }

  private Process judge(String heap, String in, String out) throws IOException {
    return start(folder.resolve(in), out, heap, "judge", "--job", "job.json");
  }

  private Process start(Path in, String out, String heap, String... arguments) throws IOException {
    List<String> command = new ArrayList<>();
    command.add(Path.of(System.getProperty("java.home"), "bin", "java").toString());
    command.add(heap);
    command.add("-XX:+UseSerialGC");
    command.add("-jar");
    command.add(JAR.toString());
    command.addAll(List.of(arguments));
    ProcessBuilder builder = new ProcessBuilder(command).directory(folder.toFile());
    builder.redirectError(folder.resolve("told").toFile());
    if (in != null) {
      builder.redirectInput(in.toFile());
    }
    if (out != null) {
      File file = folder.resolve(out).toFile();
      builder.redirectOutput(file);
    }
    return builder.start();
  }

  private static int end(Process process) throws InterruptedException {
    try {
      assertTrue(process.waitFor(10, TimeUnit.MINUTES), "it did not end");
      return process.exitValue();
    } finally {
      process.destroyForcibly();
    }
  }

  private String told() {
    try {
      return Files.readString(folder.resolve("told"));
    } catch (IOException e) {
      return e.toString();
    }
  }

  private static void write(Path file, int readings) throws IOException {
    try (BufferedWriter out = Files.newBufferedWriter(file, StandardCharsets.UTF_8)) {
      for (int i = 1; i <= readings; i++) {
        int tap = i / 3 % 5 + 1;
        out.write(
            ("{\"record\":\"reading\",\"schema\":1,\"id\":\"Invented.tester.007:b1:%d:0\","
                    + "\"station\":\"bay-1\",\"instrument\":{\"maker\":\"Invented\","
                    + "\"model\":\"tester\",\"serial\":\"007\",\"firmware\":\"0.1\"},"
                    + "\"sequence\":{\"epoch\":\"b1\",\"number\":%d,\"part\":0},"
                    + "\"labels\":{\"test\":\"turns-ratio\",\"windings\":\"HV-LV\","
                    + "\"phase\":\"%s\",\"tap\":%d},\"values\":[{\"quantity\":\"turns-ratio\","
                    + "\"value\":\"4%d.%04d\",\"unit\":\"1\"}],\"status\":\"ok\","
                    + "\"receivedAt\":\"2026-01-15T08:00:00.000Z\",\"clock\":\"none\","
                    + "\"raw\":\"the line as it came, invented\",\"driver\":\"line 1.0\"}\n")
                .formatted(i, i, "ABC".charAt(i % 3), tap, 7 - tap, i % 10_000));
      }
    }
  }
}
