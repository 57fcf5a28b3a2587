package org.tallywire.bridge;

import java.io.IOException;
import java.nio.file.Files;
import java.nio.file.Path;
import java.util.Comparator;
import java.util.List;
import java.util.stream.Stream;

/** Folders that last as long as a command runs. */
final class Scratch {

  private Scratch() {}

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
