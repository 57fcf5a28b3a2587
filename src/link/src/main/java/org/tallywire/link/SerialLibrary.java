package org.tallywire.link;

import com.fazecast.jSerialComm.SerialPort;
import java.io.IOException;
import java.io.UncheckedIOException;
import java.nio.file.Files;
import java.nio.file.Path;
import java.nio.file.attribute.PosixFilePermissions;
import java.util.stream.Stream;

/**
 * Loads the serial library with its native part in a private folder. The library takes the folder
 * from {@code java.io.tmpdir} when its class loads, once for the whole process.
 */
final class SerialLibrary {

  private static boolean loaded;

  private SerialLibrary() {}

  /**
   * Takes back the permissions that the library gives to everybody, where the system knows such.
   */
  private static void forThisAccountOnly(Path folder) throws IOException {
    try (Stream<Path> files = Files.walk(folder)) {
      for (Path file : files.toList()) {
        if (Files.getFileStore(file).supportsFileAttributeView("posix")) {
          Files.setPosixFilePermissions(file, PosixFilePermissions.fromString("rwx------"));
        }
      }
    }
  }

  static synchronized void load(Path folder) {
    if (loaded) {
      return;
    }
    String before = System.getProperty("java.io.tmpdir");
    try {
      Files.createDirectories(folder);
      System.setProperty("java.io.tmpdir", folder.toAbsolutePath().toString());
      SerialPort.getVersion(); // loads the class, and with it the native part
      loaded = true;
      forThisAccountOnly(folder);
    } catch (IOException e) {
      throw new UncheckedIOException(
          "cannot make the folder %s for the serial library's native part".formatted(folder), e);
    } finally {
      System.setProperty("java.io.tmpdir", before);
    }
  }
}
