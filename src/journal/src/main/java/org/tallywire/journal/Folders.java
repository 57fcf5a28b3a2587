package org.tallywire.journal;

import java.io.IOException;
import java.nio.channels.FileChannel;
import java.nio.file.FileSystems;
import java.nio.file.Files;
import java.nio.file.Path;
import java.nio.file.StandardOpenOption;
import java.nio.file.attribute.PosixFilePermissions;

/** Makes folders only their owner may enter, and makes their entries durable. */
final class Folders {

  private static final boolean POSIX =
      FileSystems.getDefault().supportedFileAttributeViews().contains("posix");

  private Folders() {}

  /**
   * Creates the folder with mode 0700 unless it is there; one that is there keeps its mode. Its
   * name, and that of every folder made around it, then survives a power loss.
   */
  static void create(Path folder) throws IOException {
    Path whole = folder.toAbsolutePath();
    Path parent = whole.getParent();
    if (!Files.exists(whole)) {
      if (parent != null) {
        create(parent);
      }
      make(whole);
    }
    // also if it was there: an attempt before us may have failed just here
    if (parent != null) {
      syncIfReadable(parent);
    }
  }

  /** Syncs it, unless we may not read it; then it was not us who made something in it. */
  private static void syncIfReadable(Path folder) throws IOException {
    if (Files.isReadable(folder)) {
      sync(folder);
    }
  }

  private static void make(Path folder) throws IOException {
    if (POSIX) {
      Files.createDirectories(
          folder,
          PosixFilePermissions.asFileAttribute(PosixFilePermissions.fromString("rwx------")));
    } else {
      Files.createDirectories(folder);
    }
  }

  /** Makes newly created names in the folder survive a power loss, where the platform can. */
  static void sync(Path folder) throws IOException {
    if (POSIX) {
      try (FileChannel channel = FileChannel.open(folder, StandardOpenOption.READ)) {
        channel.force(true);
      }
    }
  }
}
