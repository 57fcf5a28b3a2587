package org.tallywire.bridge;

import java.io.IOException;
import java.io.InputStream;
import java.nio.file.Files;
import java.nio.file.Path;
import org.tallywire.format.SetupException;

/** A file of records, or standard input, as an argument names it. */
final class RecordFile {

  static final String STANDARD_INPUT = "-";

  private RecordFile() {}

  /** Opens it. */
  static InputStream open(String argument) throws SetupException {
    if (argument.equals(STANDARD_INPUT)) {
      return System.in;
    }
    Path file = Path.of(argument);
    try {
      if (Files.isDirectory(file)) {
        throw new SetupException("%s: is a folder, not a file of records".formatted(file));
      }
      return Files.newInputStream(file);
    } catch (IOException e) {
      throw new SetupException("%s: cannot be read: %s".formatted(file, e));
    }
  }
}
