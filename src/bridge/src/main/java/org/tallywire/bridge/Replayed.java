package org.tallywire.bridge;

import java.io.IOException;
import java.nio.file.DirectoryIteratorException;
import java.nio.file.DirectoryStream;
import java.nio.file.Files;
import java.nio.file.Path;
import java.util.Set;
import java.util.TreeSet;

/**
 * Shelved entries that a replay has got rid of: the replay notes each as an empty file in the data
 * folder, since the journal is written by the bridge alone, and the bridge takes them off the
 * shelf.
 */
final class Replayed {

  private static final String FOLDER = "replayed";

  private Replayed() {}

  static void note(Path data, long position) throws IOException {
    Path folder = Files.createDirectories(data.resolve(FOLDER));
    Path file = folder.resolve(Long.toString(position));
    if (!Files.exists(file)) {
      Files.createFile(file);
    }
  }

  /** Returns the positions that are noted. */
  static Set<Long> noted(Path data) throws IOException {
    Set<Long> positions = new TreeSet<>();
    Path folder = data.resolve(FOLDER);
    if (!Files.isDirectory(folder)) {
      return positions;
    }
    try (DirectoryStream<Path> files = Files.newDirectoryStream(folder)) {
      for (Path file : files) {
        String name = String.valueOf(file.getFileName());
        if (name.matches("[1-9][0-9]{0,17}")) {
          positions.add(Long.parseLong(name));
        }
      }
    } catch (DirectoryIteratorException e) {
      throw e.getCause();
    }
    return positions;
  }

  static void done(Path data, long position) throws IOException {
    Files.deleteIfExists(data.resolve(FOLDER).resolve(Long.toString(position)));
  }
}
