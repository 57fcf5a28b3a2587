package org.tallywire.bridge;

import java.io.IOException;
import java.io.UncheckedIOException;
import java.nio.file.Files;
import java.nio.file.Path;
import java.util.Comparator;
import java.util.List;
import java.util.stream.Stream;

/** Folders that last as long as a command runs. */
final class Scratch {

  private Scratch() {}

  /** Makes a folder for a run, for the log too; it is deleted when the process ends, however. */
  static Path forThisRun(String name) throws IOException {
    Path scratch = Files.createTempDirectory(name);
    System.setProperty("tallywire.log", scratch.resolve("log").toString());
    Runtime.getRuntime().addShutdownHook(new Thread(() -> deleteAtEnd(scratch), "scratch folder"));
    return scratch;
  }

  private static void deleteAtEnd(Path folder) {
    try {
      delete(folder);
    } catch (IOException | UncheckedIOException e) {
      // it is in the folder for temporary files
    }
  }

  /** Deletes a folder with all that is in it. */
  static void delete(Path folder) throws IOException {
    try (Stream<Path> files = Files.walk(folder)) {
      List<Path> deepestFirst = files.sorted(Comparator.reverseOrder()).toList();
      for (Path file : deepestFirst) {
        Files.deleteIfExists(file);
      }
    }
  }
}
