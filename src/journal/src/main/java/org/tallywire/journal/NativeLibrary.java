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
    } catch (IOException e) {
      throw failed(place.toString(), e);
    }
    initialise(System.getProperty(FOLDER_PROPERTY, place.toString()));
  }

  private static void initialise(String place) throws JournalException {
    try {
      loaded = SQLiteJDBCLoader.initialize();
    } catch (Exception | UnsatisfiedLinkError e) { // the driver declares no narrower type
      throw failed(place, e);
    }
  }

  private static JournalException failed(String place, Throwable e) {
    return new JournalException(
        "could not unpack and load SQLite's native library in folder %s: %s. If that disk does not allow programs to run, start with -D%s=<a private folder that does>"
            .formatted(place, e, FOLDER_PROPERTY),
        e);
  }

  /**
   * Loads it for a process that only reads, and leaves the journal's folder alone: from a private
   * temporary folder, which goes again where the platform lets go of a loaded file.
   */
  static synchronized void loadElsewhere() throws JournalException {
    if (loaded) {
      return;
    }
    if (System.getProperty(FOLDER_PROPERTY) != null) {
      initialise(System.getProperty(FOLDER_PROPERTY));
      return;
    }
    Path place;
    try {
      place = Files.createTempDirectory("tallywire-");
    } catch (IOException e) {
      throw failed(System.getProperty("java.io.tmpdir"), e);
    }
    System.setProperty(FOLDER_PROPERTY, place.toString());
    initialise(place.toString());
    try {
      deleteLeftovers(place);
      Files.delete(place);
    } catch (IOException e) {
      LOG.debug("the copy of the native library in {} stays: {}", place, e.getMessage());
      place.toFile().deleteOnExit();
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
