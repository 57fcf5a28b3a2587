package org.tallywire.bridge;

import java.io.IOException;
import java.nio.ByteBuffer;
import java.nio.channels.FileChannel;
import java.nio.charset.StandardCharsets;
import java.nio.file.FileSystems;
import java.nio.file.Files;
import java.nio.file.Path;
import java.nio.file.StandardCopyOption;
import java.nio.file.StandardOpenOption;
import java.util.UUID;

/** The client id of an installation, kept in its data folder. */
final class ClientId {

  private static final int DIGITS = 12;

  private ClientId() {}

  /** Returns the id: made once, of characters that any broker takes, and on the disk by then. */
  static String of(Path data) throws IOException {
    Path file = data.resolve("client-id");
    String kept = Files.exists(file) ? Files.readString(file, StandardCharsets.US_ASCII) : "";
    if (kept.isBlank()) {
      kept = "tallywire" + UUID.randomUUID().toString().replace("-", "").substring(0, DIGITS);
      Path draft = data.resolve("client-id.new");
      write(draft, kept);
      Files.move(draft, file, StandardCopyOption.ATOMIC_MOVE, StandardCopyOption.REPLACE_EXISTING);
      syncFolder(data);
    }
    return kept.strip();
  }

  /** Writes and syncs: a renamed file whose content is not on the disk is empty after a crash. */
  private static void write(Path file, String text) throws IOException {
    try (FileChannel channel =
        FileChannel.open(
            file,
            StandardOpenOption.CREATE,
            StandardOpenOption.TRUNCATE_EXISTING,
            StandardOpenOption.WRITE)) {
      ByteBuffer bytes = ByteBuffer.wrap(text.getBytes(StandardCharsets.US_ASCII));
      while (bytes.hasRemaining()) {
        channel.write(bytes);
      }
      channel.force(true);
    }
  }

  private static void syncFolder(Path folder) throws IOException {
    // elsewhere a folder cannot be opened
    if (FileSystems.getDefault().supportedFileAttributeViews().contains("posix")) {
      try (FileChannel channel = FileChannel.open(folder, StandardOpenOption.READ)) {
        channel.force(true);
      }
    }
  }
}
