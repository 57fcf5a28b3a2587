package org.tallywire.bridge;

import static org.junit.jupiter.api.Assertions.assertEquals;
import static org.junit.jupiter.api.Assertions.assertTrue;
import static org.junit.jupiter.api.Assumptions.assumeTrue;

import java.io.BufferedReader;
import java.io.IOException;
import java.io.InputStreamReader;
import java.nio.charset.StandardCharsets;
import java.nio.file.Files;
import java.nio.file.Path;
import java.util.ArrayList;
import java.util.List;
import java.util.Optional;
import java.util.concurrent.TimeUnit;
import java.util.stream.Stream;
import org.junit.jupiter.api.DisplayName;
import org.junit.jupiter.api.Test;
import org.junit.jupiter.api.io.TempDir;
import org.junit.jupiter.api.parallel.Execution;
import org.junit.jupiter.api.parallel.ExecutionMode;

/** The example instrument in C, compiled here, against the kit: a third program for the page. */
@Execution(ExecutionMode.CONCURRENT)
class ThirdInstrumentIT {

  private static final Path SOURCES = Path.of("../../shared/instrument").toAbsolutePath();
  private static final long LIMIT_S = 60;

  @TempDir private Path folder;

  @Test
  @DisplayName("The instrument in C conforms, its full store included")
  void conforms() throws Exception {
    Optional<String> compiler = compiler();
    assumeTrue(
        compiler.isPresent() || "true".equals(System.getenv("CI")), "no C compiler on the path");
    Path program = compile(compiler.orElseThrow(() -> new AssertionError("CI needs cc or gcc")));
    Process instrument =
        new ProcessBuilder(program.toString(), "--tcp", "0", "--every", "50", "--until-stdin-ends")
            .redirectError(folder.resolve("instrument.log").toFile())
            .start();
    try (Jar jar = new Jar(folder);
        BufferedReader out =
            new BufferedReader(
                new InputStreamReader(instrument.getInputStream(), StandardCharsets.UTF_8))) {
      String ready = String.valueOf(out.readLine());
      assertTrue(ready.startsWith("ready tcp "), ready);
      Process conform =
          jar.start("conform", "instrument", "tcp://" + ready.substring(10), "--wait", "15");
      assertTrue(conform.waitFor(LIMIT_S, TimeUnit.SECONDS), "it did not end");
      assertEquals(0, conform.exitValue(), jar.output());
      assertTrue(jar.output().contains("kept      L-26"), jar.output());
    } finally {
      instrument.destroyForcibly();
    }
  }

  private static Optional<String> compiler() {
    String path = Optional.ofNullable(System.getenv("PATH")).orElse("");
    return Stream.of("cc", "gcc")
        .filter(
            name ->
                Stream.of(path.split(java.io.File.pathSeparator, -1))
                    .anyMatch(place -> Files.isExecutable(Path.of(place, name))))
        .findFirst();
  }

  private Path compile(String compiler) throws IOException, InterruptedException {
    Path program = folder.resolve("instrument");
    List<String> command =
        new ArrayList<>(
            List.of(
                compiler,
                "-std=c99",
                "-DBEAT_MS=250",
                "-DSTORE_SIZE=20",
                "-o",
                program.toString()));
    try (Stream<Path> files = Files.list(SOURCES)) {
      files.map(Path::toString).filter(name -> name.endsWith(".c")).forEach(command::add);
    }
    Path log = folder.resolve("compiler.log");
    Process process =
        new ProcessBuilder(command).redirectErrorStream(true).redirectOutput(log.toFile()).start();
    assertTrue(process.waitFor(LIMIT_S, TimeUnit.SECONDS), "the compiler did not end");
    assertEquals(0, process.exitValue(), Files.readString(log));
    return program;
  }
}
