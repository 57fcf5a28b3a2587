package org.tallywire.journal;

import java.io.IOException;
import java.nio.file.DirectoryStream;
import java.nio.file.Files;
import java.nio.file.Path;
import org.slf4j.Logger;
import org.slf4j.LoggerFactory;
import org.sqlite.SQLiteJDBCLoader;

/** Has SQLite's native code unpacked into a private folder, not the shared temporary one. */
final class NativeLibrary {

  private static final Logger LOG = LoggerFactory.getLogger(NativeLibrary.class);
  private static final String FOLDER_PROPERTY = "org.sqlite.tmpdir";

  private static boolean loaded;

  private NativeLibrary() {}

  /** Loads the library once per process; an operator's own {@code org.sqlite.tmpdir} is kept. */
  static synchronized void load(Path folder) throws JournalException {
    if (loaded) {
      return;
    }
    Path place = folder.resolve("native");
    try {
      Folders.create(place);
      deleteLeftovers(place);
      if (System.getProperty(FOLDER_PROPERTY) == null) {
        System.setProperty(FOLDER_PROPERTY, place.toString());
      }
      loaded = SQLiteJDBCLoader.initialize();
    } catch (Exception | UnsatisfiedLinkError e) { // the driver declares no narrower type
      throw new JournalException(
          "could not unpack and load SQLite's native library in folder %s: %s. If that disk does not allow programs to run, start with -D%s=<a private folder that does>"
              .formatted(System.getProperty(FOLDER_PROPERTY, place.toString()), e, FOLDER_PROPERTY),
          e);
    }
  }

  /** A killed process leaves its copy and the mark that protects it; the lock says it is gone. */
  private static void deleteLeftovers(Path place) throws IOException {
    try (DirectoryStream<Path> files = Files.newDirectoryStream(place, "sqlite-*")) {
      for (Path file : files) {
        try {
          Files.deleteIfExists(file);
        } catch (IOException e) {
          // Windows keeps a library that a living process has loaded; it goes another time
          LOG.debug("an old copy of the native library stays: {}", e.getMessage());
        }
      }
    }
  }
}
