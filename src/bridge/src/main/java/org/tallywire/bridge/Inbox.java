package org.tallywire.bridge;

import java.io.IOException;
import java.nio.ByteBuffer;
import java.nio.channels.FileChannel;
import java.nio.charset.StandardCharsets;
import java.nio.file.Files;
import java.nio.file.NoSuchFileException;
import java.nio.file.Path;
import java.nio.file.StandardCopyOption;
import java.nio.file.StandardOpenOption;
import java.time.Duration;
import java.util.Comparator;
import java.util.Optional;
import java.util.UUID;
import java.util.stream.Stream;
import org.slf4j.Logger;
import org.slf4j.LoggerFactory;
import org.tallywire.journal.Draft;

/**
 * The folder {@code inbox} in the data folder: commands leave there, as a file each, the records
 * that a person wants written, since the bridge alone writes the journal. It takes them in the
 * order of their names; one that it does not take it removes, with a file {@code .refused} that
 * says why. A command that leaves a record and the bridge may end at any moment: what was left is
 * taken once.
 */
final class Inbox {

  /** What became of a record that was left. */
  sealed interface Answer {
    /** It is in the journal. */
    record Taken() implements Answer {}

    /** It is not in the journal and will not be. */
    record Refused(String sentence) implements Answer {}

    /** No bridge has looked at it yet; the next one will. */
    record Waiting(Path file) implements Answer {}
  }

  private static final Logger log = LoggerFactory.getLogger(Inbox.class);
  private static final String LEFT = ".json";
  private static final String REFUSED = ".refused";
  private static final long LONGEST = 4L * 1024 * 1024;
  private static final Duration LOOK = Duration.ofMillis(50);

  private final Path folder;

  /** Makes one for a data folder; the folder itself comes with the first record. */
  Inbox(Path data) {
    this.folder = data.resolve("inbox");
  }

  /**
   * Leaves a record for the bridge and waits until it has looked at it.
   *
   * @throws IOException if it cannot be left; nothing is then
   */
  Answer leave(Draft draft, Duration wait) throws IOException, InterruptedException {
    Files.createDirectories(folder);
    String name = "%013d-%s".formatted(System.currentTimeMillis(), UUID.randomUUID());
    Path file = folder.resolve(name + LEFT);
    write(file, draft.payload());
    long deadline = System.nanoTime() + wait.toNanos();
    while (Files.exists(file)) {
      if (System.nanoTime() > deadline) {
        return new Answer.Waiting(file);
      }
      Thread.sleep(LOOK.toMillis());
    }
    Path refused = folder.resolve(name + REFUSED);
    if (!Files.exists(refused)) {
      return new Answer.Taken();
    }
    String sentence = Files.readString(refused);
    Files.delete(refused);
    return new Answer.Refused(sentence);
  }

  /** Returns the file of the record that was left first; nothing if there is none. */
  Optional<Path> next() {
    if (!Files.isDirectory(folder)) {
      return Optional.empty();
    }
    try (Stream<Path> files = Files.list(folder)) {
      return files.filter(file -> file.toString().endsWith(LEFT)).min(Comparator.naturalOrder());
    } catch (IOException e) {
      log.debug("the folder {} cannot be read now: {}", folder, e.toString());
      return Optional.empty();
    }
  }

  /**
   * Returns the bytes of a record that was left; nothing if it is gone, or refused for its size.
   */
  Optional<byte[]> read(Path file) {
    try {
      long size = Files.size(file);
      if (size > LONGEST) {
        refuse(file, "A record has at most %d bytes, this one %d.".formatted(LONGEST, size));
        return Optional.empty();
      }
      return Optional.of(Files.readAllBytes(file));
    } catch (NoSuchFileException e) {
      return Optional.empty(); // whoever left it has taken it back
    } catch (IOException e) {
      refuse(file, "It cannot be read: %s.".formatted(e));
      return Optional.empty();
    }
  }

  /** Removes a record that is in the journal now. */
  void taken(Path file) {
    remove(file);
  }

  /** Removes a record that is not wanted, and says why. */
  void refuse(Path file, String sentence) {
    log.warn("a record that was left in {} is refused: {}", file, sentence);
    String name = file.getFileName().toString();
    String stem = name.substring(0, name.length() - LEFT.length());
    try {
      write(folder.resolve(stem + REFUSED), sentence.getBytes(StandardCharsets.UTF_8));
    } catch (IOException e) {
      log.error("why {} was refused cannot be left beside it: {}", file, e.toString());
    }
    remove(file);
  }

  /** One that stays is looked at again, which is harmless: a record is in the journal once. */
  private static void remove(Path file) {
    try {
      Files.deleteIfExists(file);
    } catch (IOException e) {
      log.error("{} cannot be removed: {}", file, e.toString());
    }
  }

  /** Writes a file so that under its name there is all of it or nothing, also after a crash. */
  private static void write(Path file, byte[] bytes) throws IOException {
    Path part = file.resolveSibling(file.getFileName() + ".part");
    try (FileChannel out =
        FileChannel.open(part, StandardOpenOption.CREATE_NEW, StandardOpenOption.WRITE)) {
      ByteBuffer left = ByteBuffer.wrap(bytes);
      while (left.hasRemaining()) {
        out.write(left);
      }
      out.force(true);
    }
    Files.move(part, file, StandardCopyOption.ATOMIC_MOVE);
  }
}
