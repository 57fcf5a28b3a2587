package org.tallywire.journal;

import java.nio.file.Path;
import java.sql.Connection;
import java.sql.PreparedStatement;
import java.sql.ResultSet;
import java.sql.SQLException;
import java.util.ArrayList;
import java.util.LinkedHashMap;
import java.util.List;
import java.util.Map;
import java.util.Optional;
import java.util.OptionalLong;

/**
 * All that is read from a journal. Every row is checked before it is returned, an entry also
 * against the digest of the entry before it; one that fails is never returned. From any thread.
 */
final class Reads implements AutoCloseable {

  private static final int VERIFY_PAGE = 500;

  private static final String ANCHOR = "SELECT * FROM anchor";
  private static final String IDENTITY = "SELECT * FROM journal";
  private static final String CURSORS = "SELECT * FROM cursor ORDER BY follower";
  private static final String SHELF = "SELECT * FROM shelf ORDER BY position, follower";
  private static final String MARKS = "SELECT * FROM sequence";
  private static final String EPOCHS = "SELECT * FROM own_epoch";

  /** Turns the row a result stands on into a value. */
  interface Row<T> {
    T read(ResultSet row) throws SQLException, JournalException;
  }

  private final Database database;
  private final ReadConnections connections;
  private final Path file;
  private final Rows rows;

  Reads(Database database) {
    this.database = database;
    this.connections = new ReadConnections(database);
    this.file = database.file();
    this.rows = new Rows(file);
  }

  /**
   * Returns up to {@code limit} entries after a position.
   *
   * @param atLeast a position known to be committed: entries that end before it are missing
   */
  List<JournalEntry> entries(long after, int limit, long atLeast) throws JournalException {
    if (limit < 1) {
      throw new IllegalArgumentException("a read of %d entries".formatted(limit));
    }
    return snapshot(
        "read %d entries after position %d".formatted(limit, after),
        connection -> entries(connection, after, limit, atLeast));
  }

  private List<JournalEntry> entries(Connection connection, long after, int limit, long atLeast)
      throws SQLException, JournalException {
    Anchor anchor = anchor(connection);
    long position = Math.max(after, anchor.position());
    byte[] digest = anchor.digest();
    // the entry before the first is read too: the chain goes on from it
    boolean behind = position > anchor.position();
    List<JournalEntry> found =
        query(
            connection,
            "SELECT * FROM entry WHERE position >= ? ORDER BY position LIMIT ?",
            rows::entry,
            position,
            behind ? limit + 1L : limit);
    if (behind && !found.isEmpty()) {
      JournalEntry before = found.remove(0);
      if (before.position() != position) {
        throw missing(position, before.position());
      }
      digest = before.digest();
    }
    for (JournalEntry entry : found) {
      Optional<String> fault = Chain.fault(entry, position + 1, digest);
      if (fault.isPresent()) {
        throw JournalException.damaged(file, fault.get());
      }
      position = entry.position();
      digest = entry.digest();
    }
    if (found.size() < limit && position < atLeast) {
      throw JournalException.damaged(
          file,
          "the entries end at position %d, where %d was the last".formatted(position, atLeast));
    }
    return found;
  }

  private JournalException missing(long position, long next) {
    return JournalException.damaged(
        file,
        "the entry at position %d is missing, the next there is has position %d"
            .formatted(position, next));
  }

  Optional<JournalEntry> find(String id) throws JournalException {
    return snapshot(
        "find the entry \"%s\"".formatted(id),
        connection -> {
          List<Long> place =
              query(
                  connection, "SELECT position FROM entry WHERE id = ?", row -> row.getLong(1), id);
          if (place.isEmpty()) {
            return Optional.empty();
          }
          long position = place.get(0);
          List<JournalEntry> there = entries(connection, position - 1, 1, position);
          if (there.isEmpty() || !there.get(0).id().equals(id)) {
            throw JournalException.damaged(
                file,
                "the index of ids leads from \"%s\" to position %d, where %s"
                    .formatted(
                        id,
                        position,
                        there.isEmpty()
                            ? "retention removed the entry"
                            : "the id is \"%s\"".formatted(there.get(0).id())));
          }
          return Optional.of(there.get(0));
        });
  }

  boolean knows(String id) throws JournalException {
    if (find(id).isPresent()) {
      return true;
    }
    return snapshot(
        "look for the removed id \"%s\"".formatted(id),
        connection ->
            !query(connection, "SELECT * FROM removed WHERE id = ?", rows::removed, id).isEmpty());
  }

  long cursor(String follower) throws JournalException {
    return snapshot(
        "read the cursor of follower \"%s\"".formatted(follower),
        connection ->
            query(connection, "SELECT * FROM cursor WHERE follower = ?", rows::cursor, follower)
                .stream()
                .mapToLong(Rows.Cursor::position)
                .findFirst()
                .orElse(0));
  }

  Map<String, Long> cursors() throws JournalException {
    return snapshot(
        "read all cursors",
        connection -> {
          Map<String, Long> places = new LinkedHashMap<>();
          for (Rows.Cursor cursor : query(connection, CURSORS, rows::cursor)) {
            places.put(cursor.follower(), cursor.position());
          }
          return places;
        });
  }

  OptionalLong lastSequence(String source, String epoch) throws JournalException {
    return snapshot(
        "read the last number of source \"%s\", epoch \"%s\"".formatted(source, epoch),
        connection ->
            query(connection, MARKS + " WHERE source = ? AND epoch = ?", rows::mark, source, epoch)
                .stream()
                .mapToLong(SequenceMark::last)
                .findFirst());
  }

  List<Shelved> shelf() throws JournalException {
    return snapshot("read the shelf", connection -> query(connection, SHELF, rows::shelved));
  }

  Anchor anchor() throws JournalException {
    return snapshot("read where it is cut off", this::anchor);
  }

  String identity() throws JournalException {
    return snapshot(
        "read its identity", connection -> one(connection, "journal", IDENTITY, rows::identity));
  }

  /** Returns the last committed position. */
  long head() throws JournalException {
    return snapshot(
        "read its last position",
        connection -> {
          List<JournalEntry> last =
              query(connection, "SELECT * FROM entry ORDER BY position DESC LIMIT 1", rows::entry);
          return last.isEmpty() ? anchor(connection).position() : last.get(0).position();
        });
  }

  /** Checks every row of every table up to a head, and says in a sentence what is wrong. */
  Optional<String> verify(long end) throws JournalException {
    try {
      requireSmallTables();
      snapshot(
          "check the removed ids",
          connection -> each(connection, "SELECT * FROM removed", rows::removed));
      for (long done = anchor().position(); done < end; ) {
        List<JournalEntry> page = entries(done, VERIFY_PAGE, end);
        done = page.isEmpty() ? end : page.get(page.size() - 1).position();
      }
      return Optional.empty();
    } catch (JournalException e) {
      if (e.damage().isPresent()) {
        return e.damage();
      }
      throw e;
    }
  }

  /** Refuses a file of another layout. */
  void requireLayout() throws JournalException {
    snapshot(
        "read its layout version",
        connection -> {
          database.requireLayout(connection);
          return true;
        });
  }

  /** Checks all rows but entries and removed ids; there are few of them. */
  void requireSmallTables() throws JournalException {
    snapshot(
        "check its tables",
        connection -> {
          one(connection, "journal", IDENTITY, rows::identity);
          long cut = anchor(connection).position();
          return cut
              + each(connection, CURSORS, rows::cursor)
              + each(connection, SHELF, rows::shelved)
              + each(connection, MARKS, rows::mark)
              + each(connection, EPOCHS, rows::epoch);
        });
  }

  private Anchor anchor(Connection connection) throws SQLException, JournalException {
    return one(connection, "anchor", ANCHOR, rows::anchor);
  }

  private <T> T one(Connection connection, String table, String sql, Row<T> row)
      throws SQLException, JournalException {
    List<T> found = query(connection, sql, row);
    if (found.size() != 1) {
      throw JournalException.damaged(
          file, "table %s has %d rows where there is one".formatted(table, found.size()));
    }
    return found.get(0);
  }

  private static <T> List<T> query(
      Connection connection, String sql, Row<T> row, Object... parameters)
      throws SQLException, JournalException {
    try (PreparedStatement statement = connection.prepareStatement(sql)) {
      for (int i = 0; i < parameters.length; i++) {
        statement.setObject(i + 1, parameters[i]);
      }
      List<T> found = new ArrayList<>();
      try (ResultSet result = statement.executeQuery()) {
        while (result.next()) {
          found.add(row.read(result));
        }
      }
      return found;
    }
  }

  private static <T> long each(Connection connection, String sql, Row<T> row)
      throws SQLException, JournalException {
    long count = 0;
    try (PreparedStatement statement = connection.prepareStatement(sql);
        ResultSet result = statement.executeQuery()) {
      while (result.next()) {
        row.read(result);
        count++;
      }
    }
    return count;
  }

  private <T> T snapshot(String doing, ReadConnections.Use<T> use) throws JournalException {
    try {
      return connections.snapshot(use);
    } catch (SQLException e) {
      throw JournalException.reading(doing, file, e);
    }
  }

  @Override
  public void close() throws SQLException {
    connections.close();
  }
}
