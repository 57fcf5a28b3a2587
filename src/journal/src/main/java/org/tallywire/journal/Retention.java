package org.tallywire.journal;

import java.sql.Connection;
import java.sql.PreparedStatement;
import java.sql.ResultSet;
import java.sql.SQLException;
import java.time.Instant;
import java.util.ArrayList;
import java.util.List;
import java.util.Optional;

/**
 * Removes entries from the beginning, a bounded number in one transaction: what it removes is
 * checked first, its ids are kept, and the anchor says what the chain goes on from.
 *
 * @param upTo the last position that may go
 * @param before entries written at or after it stay, and all behind them
 */
record Retention(long upTo, Instant before) {

  /** Keeps a transaction at some milliseconds, so that an append in between need not wait long. */
  static final int CHUNK = 200;

  /** Removes the next entries, within the transaction that is open, and returns the new anchor. */
  Anchor remove(WriteConnection writing) throws SQLException, JournalException {
    Anchor anchor = writing.anchor();
    List<JournalEntry> gone = removable(writing, anchor);
    if (gone.isEmpty()) {
      return anchor;
    }
    Connection connection = writing.connection();
    JournalEntry last = gone.get(gone.size() - 1);
    Anchor cut = new Anchor(last.position(), last.digest());
    try (PreparedStatement keep =
            connection.prepareStatement(
                "INSERT INTO removed (id, position, guard) VALUES (?, ?, ?)");
        PreparedStatement delete =
            connection.prepareStatement("DELETE FROM entry WHERE position <= ?");
        PreparedStatement move =
            connection.prepareStatement(
                "REPLACE INTO anchor (one, position, digest, guard) VALUES (?, ?, ?, ?)")) {
      for (JournalEntry entry : gone) {
        WriteConnection.put(keep, entry.id(), entry.position());
      }
      delete.setLong(1, last.position());
      delete.executeUpdate();
      WriteConnection.put(move, 1L, cut.position(), cut.digest());
    }
    return cut;
  }

  private List<JournalEntry> removable(WriteConnection writing, Anchor anchor)
      throws SQLException, JournalException {
    List<JournalEntry> gone = new ArrayList<>();
    byte[] digest = anchor.digest();
    try (PreparedStatement oldest =
        writing
            .connection()
            .prepareStatement(
                "SELECT * FROM entry WHERE position > ? AND position <= ?"
                    + " ORDER BY position LIMIT ?")) {
      oldest.setLong(1, anchor.position());
      oldest.setLong(2, limit(writing));
      oldest.setInt(3, CHUNK);
      try (ResultSet found = oldest.executeQuery()) {
        while (found.next()) {
          JournalEntry entry = writing.rows().entry(found);
          Optional<String> fault = Chain.fault(entry, anchor.position() + gone.size() + 1, digest);
          if (fault.isPresent()) {
            throw JournalException.damaged(writing.rows().file(), fault.get());
          }
          if (!entry.writtenAt().isBefore(before)) {
            break;
          }
          gone.add(entry);
          digest = entry.digest();
        }
      }
    }
    return gone;
  }

  /** The last position that every cursor has passed and that lies before all that is shelved. */
  private long limit(WriteConnection writing) throws SQLException, JournalException {
    long limit = upTo;
    try (PreparedStatement cursors = writing.connection().prepareStatement("SELECT * FROM cursor");
        ResultSet found = cursors.executeQuery()) {
      while (found.next()) {
        limit = Math.min(limit, writing.rows().cursor(found).position());
      }
    }
    try (PreparedStatement shelf = writing.connection().prepareStatement("SELECT * FROM shelf");
        ResultSet found = shelf.executeQuery()) {
      while (found.next()) {
        limit = Math.min(limit, writing.rows().shelved(found).position() - 1);
      }
    }
    return limit;
  }
}
