package org.tallywire.journal;

import java.nio.file.Path;
import java.sql.ResultSet;
import java.sql.SQLException;
import java.time.Instant;
import java.time.format.DateTimeParseException;
import java.util.function.Supplier;
import org.jspecify.annotations.Nullable;

/**
 * Turns the row a result stands on into a value, but only if the row's guard agrees. What a row is
 * called is put into words only where it fails: of every entry that is read this would cost more
 * than its check.
 */
final class Rows {

  private final Path file;

  Rows(Path file) {
    this.file = file;
  }

  /** How far a follower is. */
  record Cursor(String follower, long position) {}

  /** The epoch made for a source without numbers of its own. */
  record Epoch(String source, String epoch) {}

  /** The id of an entry that retention removed, and where it was. */
  record Removed(String id, long position) {}

  Path file() {
    return file;
  }

  JournalEntry entry(ResultSet row) throws SQLException, JournalException {
    long position = row.getLong("position");
    String id = row.getString("id");
    String kind = row.getString("kind");
    String station = row.getString("station");
    byte[] payload = row.getBytes("payload");
    byte[] digest = row.getBytes("digest");
    String writtenAt = row.getString("written_at");
    Supplier<String> what = () -> "the entry at position %d (id \"%s\")".formatted(position, id);
    require(what, row, position, id, kind, station, payload, digest, writtenAt);
    return new JournalEntry(position, id, kind, station, payload, digest, instant(what, writtenAt));
  }

  Cursor cursor(ResultSet row) throws SQLException, JournalException {
    String follower = row.getString("follower");
    long position = row.getLong("position");
    require(() -> "the cursor of follower \"%s\"".formatted(follower), row, follower, position);
    return new Cursor(follower, position);
  }

  SequenceMark mark(ResultSet row) throws SQLException, JournalException {
    String source = row.getString("source");
    String epoch = row.getString("epoch");
    long last = row.getLong("last");
    Supplier<String> what =
        () -> "the sequence mark of source \"%s\", epoch \"%s\"".formatted(source, epoch);
    require(what, row, source, epoch, last);
    return new SequenceMark(source, epoch, last);
  }

  Epoch epoch(ResultSet row) throws SQLException, JournalException {
    String source = row.getString("source");
    String epoch = row.getString("epoch");
    require(() -> "the own epoch of source \"%s\"".formatted(source), row, source, epoch);
    return new Epoch(source, epoch);
  }

  Shelved shelved(ResultSet row) throws SQLException, JournalException {
    String follower = row.getString("follower");
    long position = row.getLong("position");
    String id = row.getString("id");
    String kind = row.getString("kind");
    String station = row.getString("station");
    String reason = row.getString("reason");
    String at = row.getString("at");
    Supplier<String> what =
        () ->
            "what follower \"%s\" shelved of position %d (id \"%s\")"
                .formatted(follower, position, id);
    require(what, row, follower, position, id, kind, station, reason, at);
    return new Shelved(follower, position, id, kind, station, reason, instant(what, at));
  }

  Anchor anchor(ResultSet row) throws SQLException, JournalException {
    long position = row.getLong("position");
    byte[] digest = row.getBytes("digest");
    require(() -> "the anchor at position %d".formatted(position), row, 1L, position, digest);
    return new Anchor(position, digest);
  }

  Removed removed(ResultSet row) throws SQLException, JournalException {
    String id = row.getString("id");
    long position = row.getLong("position");
    require(
        () -> "the removed id \"%s\" of position %d".formatted(id, position), row, id, position);
    return new Removed(id, position);
  }

  String identity(ResultSet row) throws SQLException, JournalException {
    String identity = row.getString("identity");
    String createdAt = row.getString("created_at");
    require(() -> "the identity \"%s\"".formatted(identity), row, 1L, identity, createdAt);
    return identity;
  }

  private void require(Supplier<String> what, ResultSet row, @Nullable Object... columns)
      throws SQLException, JournalException {
    long stored = row.getLong("guard");
    long computed = Guard.of(columns);
    if (stored != computed) {
      throw JournalException.damaged(
          file,
          "%s fails its check: its columns give guard %08x, stored is %08x"
              .formatted(what.get(), computed, stored));
    }
    for (Object column : columns) {
      if (column == null) {
        throw JournalException.damaged(file, what.get() + " has a column without a value");
      }
    }
  }

  private Instant instant(Supplier<String> what, String text) throws JournalException {
    try {
      return Instant.parse(text);
    } catch (DateTimeParseException e) {
      throw JournalException.damaged(file, "%s has the time \"%s\"".formatted(what.get(), text));
    }
  }
}
