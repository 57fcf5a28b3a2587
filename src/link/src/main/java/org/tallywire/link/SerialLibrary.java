package org.tallywire.link;

import com.fazecast.jSerialComm.SerialPort;
import java.io.IOException;
import java.io.UncheckedIOException;
import java.nio.file.FileSystems;
import java.nio.file.Files;
import java.nio.file.Path;
import java.nio.file.attribute.PosixFilePermission;
import java.nio.file.attribute.PosixFilePermissions;
import java.time.Duration;
import java.util.Set;
import java.util.concurrent.TimeUnit;
import java.util.concurrent.locks.ReentrantReadWriteLock;
import java.util.function.Supplier;
import java.util.stream.Stream;
import org.tallywire.api.FaultCode;
import org.tallywire.api.LinkException;

/**
 * Loads the serial library with its native part in a private folder, and keeps apart what it cannot
 * do at the same time. The library takes the folder from {@code java.io.tmpdir} when its class
 * loads, once for the whole process; an operator's own {@code jSerialComm.library.path} goes first.
 */
final class SerialLibrary {

  private static final long LISTING_LIMIT_S = 2;
  private static final Duration OPENING_LIMIT = Duration.ofSeconds(5);
  private static final boolean POSIX =
      FileSystems.getDefault().supportedFileAttributeViews().contains("posix");
  private static final Set<PosixFilePermission> OURS_ALONE =
      PosixFilePermissions.fromString("rwx------");

  /**
   * Listing the ports frees the library's memory of closed ones, also while one is being opened.
   */
  private static final ReentrantReadWriteLock LISTING = new ReentrantReadWriteLock();

  private static boolean loaded;

  private SerialLibrary() {}

  /** Opens a port. */
  interface Opening {
    SerialPort open() throws LinkException;
  }

  /**
   * Opens a port while nobody lists them; several may be opened at a time.
   *
   * @throws LinkException with {@link FaultCode#LINK_BUSY} if listing takes longer than we wait
   */
  static SerialPort opening(Opening opening) throws LinkException {
    return opening(opening, OPENING_LIMIT);
  }

  static SerialPort opening(Opening opening, Duration limit) throws LinkException {
    try {
      if (!LISTING.readLock().tryLock(limit.toNanos(), TimeUnit.NANOSECONDS)) {
        throw new LinkException(
            FaultCode.LINK_BUSY,
            ("opening: the ports of this machine are being listed, and that has not ended for %s ms;"
                    + " if it stays so, unplug the adapter that does not answer")
                .formatted(limit.toMillis()));
      }
    } catch (InterruptedException e) {
      Thread.currentThread().interrupt();
      throw new LinkException(
          FaultCode.LINK_BUSY, "opening: interrupted while ports are listed", e);
    }
    try {
      return opening.open();
    } finally {
      LISTING.readLock().unlock();
    }
  }

  /**
   * Lists the ports while none is being opened.
   *
   * @throws IllegalStateException if opening one takes longer than we wait
   */
  static <T> T listing(Supplier<T> listing) {
    try {
      if (!LISTING.writeLock().tryLock(LISTING_LIMIT_S, TimeUnit.SECONDS)) {
        throw new IllegalStateException(
            "the ports cannot be listed: opening one of them has not ended for %d s"
                .formatted(LISTING_LIMIT_S));
      }
    } catch (InterruptedException e) {
      Thread.currentThread().interrupt();
      throw new IllegalStateException("listing the ports was interrupted", e);
    }
    try {
      return listing.get();
    } finally {
      LISTING.writeLock().unlock();
    }
  }

  static synchronized void load(Path folder) {
    if (loaded) {
      return;
    }
    String before = System.getProperty("java.io.tmpdir");
    try {
      makePrivate(folder);
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

  /** Closes the folder to others before anything is in it: what is unpacked there is then run. */
  private static void makePrivate(Path folder) throws IOException {
    if (POSIX) {
      Files.createDirectories(folder, PosixFilePermissions.asFileAttribute(OURS_ALONE));
      Files.setPosixFilePermissions(folder, OURS_ALONE); // it may have been there
    } else {
      Files.createDirectories(folder);
    }
  }

  /**
   * Takes back the permissions that the library gives to everybody, where the system knows such.
   */
  private static void forThisAccountOnly(Path folder) throws IOException {
    if (!POSIX) {
      return;
    }
    try (Stream<Path> files = Files.walk(folder)) {
      for (Path file : files.toList()) {
        Files.setPosixFilePermissions(file, OURS_ALONE);
      }
    }
  }
}
