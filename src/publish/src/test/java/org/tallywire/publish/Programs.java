package org.tallywire.publish;

import static org.junit.jupiter.api.Assertions.assertEquals;
import static org.junit.jupiter.api.Assertions.assertTrue;
import static org.junit.jupiter.api.Assertions.fail;

import java.io.File;
import java.nio.file.Files;
import java.nio.file.Path;
import java.util.Arrays;
import java.util.List;
import java.util.concurrent.TimeUnit;
import org.junit.jupiter.api.Assumptions;

/** Programs that tests use and that may be missing. */
public final class Programs {

  private Programs() {}

  /** Skips the test where a program is missing; on a build server (CI=true) fails it. */
  public static void require(String... names) {
    List<String> missing = Arrays.stream(names).filter(name -> !there(name)).toList();
    if (!missing.isEmpty() && "true".equals(System.getenv("CI"))) {
      fail("needed on the build server: " + missing);
    }
    Assumptions.assumeTrue(missing.isEmpty(), "not installed: " + missing);
  }

  /** Runs a program that must end well within 20 s; returns what it printed. */
  static String run(Path folder, String... command) throws Exception {
    Path output = Files.createTempFile(folder, "output", ".txt");
    Process process =
        new ProcessBuilder(command)
            .directory(folder.toFile())
            .redirectErrorStream(true)
            .redirectOutput(output.toFile())
            .start();
    assertTrue(process.waitFor(20, TimeUnit.SECONDS), () -> "not ended: " + List.of(command));
    String printed = Files.readString(output);
    assertEquals(0, process.exitValue(), () -> String.join(" ", command) + "\n" + printed);
    return printed;
  }

  private static boolean there(String name) {
    String path = System.getenv("PATH") + File.pathSeparator + "/usr/sbin";
    return Arrays.stream(path.split(File.pathSeparator))
        .anyMatch(folder -> Files.isExecutable(Path.of(folder, name)));
  }
}
