package org.tallywire.journal;

import java.io.IOException;
import java.nio.ByteBuffer;
import java.nio.channels.FileChannel;
import java.nio.charset.StandardCharsets;
import java.nio.file.Files;
import java.nio.file.Path;
import java.nio.file.StandardOpenOption;
import java.security.MessageDigest;
import java.sql.SQLException;
import java.util.HexFormat;
import java.util.Optional;
import java.util.regex.Matcher;
import java.util.regex.Pattern;
import org.jspecify.annotations.Nullable;
import org.slf4j.Logger;
import org.slf4j.LoggerFactory;

/**
 * The last committed position, in a file {@code journal.head} beside the journal. It shows what the
 * journal cannot show itself: that its end is gone, because the log was damaged or deleted or an
 * older copy was put in its place; and if it is not there, that the journal was put back from a
 * copy. Written after each commit, and after the log a start finds is settled; its name is made
 * durable before the first entry, its later content is not synced. So it may lag behind after a
 * power loss and is never ahead of what is durable. One line: position, digest, guard of both.
 */
final class HeadMark implements AutoCloseable {

  private static final Logger LOG = LoggerFactory.getLogger(HeadMark.class);
  private static final Pattern LINE = Pattern.compile("([0-9]{19}) ([0-9a-f]{64}) ([0-9a-f]{8})\n");
  private static final HexFormat HEX = HexFormat.of();

  private final Path folder;
  private final Path file;
  private @Nullable FileChannel channel;
  private boolean failed;

  HeadMark(Path folder) {
    this.folder = folder;
    this.file = folder.resolve("journal.head");
  }

  /** Returns whether there is none, as beside a copy of the journal. */
  boolean absent() {
    return Files.notExists(file);
  }

  /** Refuses a journal that ends before the mark or is another. */
  void require(WriteConnection journal) throws SQLException, JournalException {
    Optional<Anchor> marked = read();
    if (marked.isPresent()) {
      long position = marked.get().position();
      requireReached(position, journal.head());
      Optional<byte[]> digest = journal.digestAt(position);
      if (digest.isPresent() && !MessageDigest.isEqual(digest.get(), marked.get().digest())) {
        throw JournalException.damaged(
            file,
            "it marks position %d with digest %s, the journal has %s there: another journal was put in its place"
                .formatted(
                    position, HEX.formatHex(marked.get().digest()), HEX.formatHex(digest.get())));
      }
    }
  }

  /** Refuses a journal that ends before a position that was committed. */
  void requireReached(long marked, long head) throws JournalException {
    if (head < marked) {
      throw JournalException.damaged(
          file,
          "position %d was committed, the journal ends at %d: the log (journal.db-wal) was damaged or deleted, or an older copy was put in its place, and %d entries are missing. To go on without them for good, delete this file"
              .formatted(marked, head, marked - head));
    }
  }

  /** Reads it; empty if there is none, or none that can be trusted, which the log then says. */
  Optional<Anchor> read() {
    String line;
    try {
      if (!Files.exists(file)) {
        return Optional.empty();
      }
      line = Files.readString(file, StandardCharsets.ISO_8859_1);
    } catch (IOException e) {
      LOG.warn("the mark of the journal's end, {}, cannot be read: {}", file, e.getMessage());
      return Optional.empty();
    }
    Matcher parts = LINE.matcher(line);
    if (parts.matches()) {
      long position = Long.parseLong(parts.group(1));
      byte[] digest = HEX.parseHex(parts.group(2));
      if (Guard.of(position, digest) == HexFormat.fromHexDigitsToLong(parts.group(3))) {
        return Optional.of(new Anchor(position, digest));
      }
    }
    LOG.warn(
        "the mark of the journal's end, {}, is damaged: whether entries at the end are missing cannot be told this time. It is written anew with the next commit",
        file);
    return Optional.empty();
  }

  /** Notes a position that is committed; a failure is logged once and costs only the mark. */
  void write(long position, byte[] digest) {
    try {
      FileChannel open = channel;
      boolean first = open == null;
      if (open == null) {
        open = FileChannel.open(file, StandardOpenOption.CREATE, StandardOpenOption.WRITE);
        channel = open;
      }
      String line =
          "%019d %s %08x\n".formatted(position, HEX.formatHex(digest), Guard.of(position, digest));
      ByteBuffer bytes = ByteBuffer.wrap(line.getBytes(StandardCharsets.US_ASCII));
      while (bytes.hasRemaining()) {
        open.write(bytes, bytes.position());
      }
      if (first) {
        open.force(true);
        Folders.sync(folder);
      }
      failed = false;
    } catch (IOException e) {
      if (!failed) {
        LOG.warn("the mark of the journal's end, {}, was not written: {}", file, e.getMessage());
      }
      failed = true;
      letGo();
    }
  }

  /** After an error: the next write opens it again. */
  private void letGo() {
    FileChannel open = channel;
    channel = null;
    if (open == null) {
      return;
    }
    try {
      open.close();
    } catch (IOException e) {
      LOG.debug("closing the mark of the journal's end failed as well: {}", e.getMessage());
    }
  }

  /** Makes it durable and lets it go. */
  @Override
  public void close() {
    FileChannel open = channel;
    channel = null;
    if (open == null) {
      return;
    }
    try (open) {
      open.force(false);
    } catch (IOException e) {
      LOG.warn("the mark of the journal's end, {}, was not synced: {}", file, e.getMessage());
    }
  }
}
