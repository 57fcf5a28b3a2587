package org.tallywire.journal;

import java.io.IOException;
import java.nio.ByteBuffer;
import java.nio.channels.FileChannel;
import java.nio.channels.FileLock;
import java.nio.charset.StandardCharsets;
import java.nio.file.Path;
import java.nio.file.StandardOpenOption;
import java.time.temporal.ChronoUnit;
import java.util.ArrayList;
import java.util.List;
import java.util.Set;
import java.util.concurrent.ConcurrentHashMap;
import org.jspecify.annotations.Nullable;

/** Keeps a second process, and a second journal of this one, out of the folder. */
final class FolderLock implements AutoCloseable {

  private static final int LONGEST_HOLDER = 400;

  /**
   * The byte that is locked lies beyond the holder's name, which others may then read on any
   * platform.
   */
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
      throw inUse(file, self());
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
      channel.write(ByteBuffer.wrap((self() + "\n").getBytes(StandardCharsets.UTF_8)), 0);
      return channel;
    } catch (IOException e) {
      channel.close();
      throw e;
    }
  }

  /** Names this process: its pid and, as far as the system tells, its command and its start. */
  private static String self() {
    ProcessHandle self = ProcessHandle.current();
    List<String> told = new ArrayList<>();
    self.info()
        .command()
        .map(command -> Path.of(command).getFileName())
        .ifPresent(word -> told.add(word.toString()));
    self.info()
        .startInstant()
        .ifPresent(start -> told.add("since " + start.truncatedTo(ChronoUnit.SECONDS)));
    return self.pid() + (told.isEmpty() ? "" : " (" + String.join(", ", told) + ")");
  }

  private static String holder(Path file) {
    try (FileChannel channel = FileChannel.open(file, StandardOpenOption.READ)) {
      ByteBuffer bytes = ByteBuffer.allocate(LONGEST_HOLDER);
      channel.read(bytes);
      String text = new String(bytes.array(), 0, bytes.position(), StandardCharsets.UTF_8).strip();
      return text.isEmpty() ? "unknown" : text;
    } catch (IOException e) {
      return "unknown (%s)".formatted(e.getMessage());
    }
  }

  private static JournalException inUse(Path file, String holder) {
    return new JournalException(
        "the journal is in use: file %s is locked by process %s. Stop that process, or give this one another folder"
            .formatted(file, holder),
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
