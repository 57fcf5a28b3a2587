package org.tallywire.simulator.wire;

import com.fazecast.jSerialComm.SerialPort;
import java.io.IOException;
import java.nio.file.Files;
import java.nio.file.Path;
import java.util.Comparator;
import java.util.stream.Stream;

/**
 * Loads the serial library with its native part in a folder that only this account can enter.
 *
 * <p>The library unpacks that part below {@code java.io.tmpdir}, writable for everybody, and loads
 * it from there; in a shared folder another account could put its own in the place.
 */
final class SerialLibrary {

  private static final String FOLDER = "java.io.tmpdir";

  private static boolean loaded;

  private SerialLibrary() {}

  /** Loads it, unless it is loaded. */
  static synchronized void load() throws IOException {
    if (loaded) {
      return;
    }
    String before = System.getProperty(FOLDER);
    Path own = Files.createTempDirectory("serial-library");
    System.setProperty(FOLDER, own.toString());
    try {
      SerialPort.getVersion(); // initialises the class, and that loads the native part
      loaded = true;
    } finally {
      System.setProperty(FOLDER, before);
      remove(own);
    }
  }

  /** Linux and macOS let a loaded file go; where the system does not, the folder stays. */
  private static void remove(Path folder) {
    try (Stream<Path> files = Files.walk(folder)) {
      for (Path file : files.sorted(Comparator.reverseOrder()).toList()) {
        Files.delete(file);
      }
    } catch (IOException stays) {
      System.err.printf("the folder %s stays behind: %s%n", folder, stays);
    }
  }
}
