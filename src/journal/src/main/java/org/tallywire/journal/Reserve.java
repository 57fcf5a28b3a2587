package org.tallywire.journal;

import java.io.IOException;
import java.nio.ByteBuffer;
import java.nio.channels.FileChannel;
import java.nio.file.Files;
import java.nio.file.Path;
import java.nio.file.StandardOpenOption;
import java.util.SplittableRandom;
import org.slf4j.Logger;
import org.slf4j.LoggerFactory;

/**
 * A file that holds space on the journal's disk, to be given up when the disk is full: what cursors
 * and the folding of the log then need. 8 MiB, or an eighth of a disk of less than 64 MiB. Used by
 * one thread at a time.
 */
final class Reserve {

  private static final Logger LOG = LoggerFactory.getLogger(Reserve.class);
  private static final long LARGEST = 8L << 20;
  private static final int PART_OF_DISK = 8;
  private static final int BLOCK = 4096;
  private static final int CHUNK = 16 * BLOCK;

  private final Path folder;
  private final Path file;
  private final long size;
  private final long low;
  private final boolean measured;

  Reserve(Path folder) throws IOException {
    this.folder = folder;
    file = folder.resolve("reserve");
    long total = Files.getFileStore(folder).getTotalSpace();
    // a file system that knows no size of its own says 0, and nothing of what is left either
    measured = total > 0;
    long share = measured ? total / PART_OF_DISK : LARGEST;
    size = Math.max(BLOCK, Math.min(LARGEST, share) / BLOCK * BLOCK);
    low = size / PART_OF_DISK;
  }

  /** Returns how many bytes this process may still write on the disk. */
  long usable() {
    return measured ? folder.toFile().getUsableSpace() : Long.MAX_VALUE;
  }

  /** Returns the number of usable bytes below which entries are refused. */
  long low() {
    return low;
  }

  /** Returns the number of usable bytes from which the reserve is made again. */
  long enough() {
    return size + 2 * low;
  }

  /** Gives the space up; returns whether there was any. */
  boolean release() {
    try {
      return Files.deleteIfExists(file);
    } catch (IOException e) {
      LOG.warn("the reserve {} could not be given up: {}", file, e.getMessage());
      return false;
    }
  }

  /** Makes it unless it is there; returns whether it is there and the disk is not low. */
  boolean make() {
    try {
      if (Files.exists(file) && Files.size(file) == size) {
        return usable() >= low;
      }
      if (usable() < enough()) {
        return false;
      }
      write();
      return true;
    } catch (IOException e) {
      LOG.debug("no reserve could be made: {}", e.getMessage());
      release();
      return false;
    }
  }

  /** Random bytes, which no file system stores in less space than they have. */
  private void write() throws IOException {
    SplittableRandom random = new SplittableRandom();
    try (FileChannel channel =
        FileChannel.open(
            file,
            StandardOpenOption.CREATE,
            StandardOpenOption.TRUNCATE_EXISTING,
            StandardOpenOption.WRITE)) {
      ByteBuffer bytes = ByteBuffer.allocate(CHUNK);
      for (long left = size; left > 0; left -= bytes.limit()) {
        bytes.clear().limit((int) Math.min(CHUNK, left));
        random.nextBytes(bytes.array());
        while (bytes.hasRemaining()) {
          channel.write(bytes);
        }
      }
    }
  }
}
