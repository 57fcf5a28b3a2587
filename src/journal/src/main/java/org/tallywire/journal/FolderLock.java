package org.tallywire.journal;

import java.io.IOException;
import java.nio.ByteBuffer;
import java.nio.channels.FileChannel;
import java.nio.channels.FileLock;
import java.nio.charset.StandardCharsets;
import java.nio.file.Path;
import java.nio.file.StandardOpenOption;
import java.util.Set;
import java.util.concurrent.ConcurrentHashMap;
import org.jspecify.annotations.Nullable;

/** Keeps a second process, and a second journal of this one, out of the folder. */
final class FolderLock implements AutoCloseable {

  /** The byte that is locked lies beyond the pid, which others may then read on any platform. */
  private static final long LOCKED_BYTE = 1L << 30;

  /**
   * Closing any channel on the file would drop the lock of this whole process (POSIX record locks),
   * so a second open here is refused before it touches the file.
   */
  private static final Set<Path> HELD = ConcurrentHashMap.newKeySet();

  private final Path file;
  private final FileChannel channel;

  private FolderLock(Path file, FileChannel channel) {
    this.file = file;
    this.channel = channel;
  }

  static FolderLock take(Path folder) throws JournalException {
    Path file = folder.resolve("journal.lock");
    if (!HELD.add(file)) {
      throw inUse(file, Long.toString(ProcessHandle.current().pid()));
    }
    try {
      FileChannel channel = lock(file);
      if (channel != null) {
        return new FolderLock(file, channel);
      }
    } catch (IOException e) {
      HELD.remove(file);
      throw new JournalException(
          "could not lock the journal with file %s: %s. Check that the folder exists and may be written"
              .formatted(file, e.getMessage()),
          e);
    }
    HELD.remove(file);
    throw inUse(file, holder(file));
  }

  private static @Nullable FileChannel lock(Path file) throws IOException {
    FileChannel channel =
        FileChannel.open(
            file, StandardOpenOption.CREATE, StandardOpenOption.READ, StandardOpenOption.WRITE);
    try {
      FileLock lock = channel.tryLock(LOCKED_BYTE, 1, false);
      if (lock == null) {
        channel.close();
        return null;
      }
      channel.truncate(0);
      String pid = ProcessHandle.current().pid() + "\n";
      channel.write(ByteBuffer.wrap(pid.getBytes(StandardCharsets.US_ASCII)), 0);
      return channel;
    } catch (IOException e) {
      channel.close();
      throw e;
    }
  }

  private static String holder(Path file) {
    try (FileChannel channel = FileChannel.open(file, StandardOpenOption.READ)) {
      ByteBuffer pid = ByteBuffer.allocate(20);
      channel.read(pid);
      String text = new String(pid.array(), 0, pid.position(), StandardCharsets.US_ASCII).strip();
      return text.isEmpty() ? "unknown" : text;
    } catch (IOException e) {
      return "unknown (%s)".formatted(e.getMessage());
    }
  }

  private static JournalException inUse(Path file, String pid) {
    return new JournalException(
        "the journal is in use: file %s is locked by process %s. Stop that process, or give this one another folder"
            .formatted(file, pid),
        null);
  }

  /** Lets the next one in; the file stays, empty of meaning without its lock. */
  @Override
  public void close() throws IOException {
    try {
      channel.close();
    } finally {
      HELD.remove(file);
    }
  }
}
