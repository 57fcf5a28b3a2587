package org.tallywire.fault;

import java.io.IOException;
import java.nio.file.Files;
import java.nio.file.Path;

/** Makes a folder for what needs no disk, since its syncs are not done: in memory, if it can. */
final class Workplace {

  private static final Path MEMORY = Path.of("/dev/shm");

  private Workplace() {}

  static Path make(String name) throws IOException {
    return Files.isWritable(MEMORY)
        ? Files.createTempDirectory(MEMORY, "tallywire-" + name)
        : Files.createTempDirectory("tallywire-" + name);
  }
}
