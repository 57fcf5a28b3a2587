package org.tallywire.journal;

import java.security.SecureRandom;
import java.sql.Connection;
import java.sql.PreparedStatement;
import java.sql.ResultSet;
import java.sql.SQLException;
import java.sql.Statement;
import java.util.HexFormat;
import org.tallywire.api.TimeSource;

/** The one connection that writes; used by the writer thread only, discarded after any error. */
final class WriteConnection implements AutoCloseable {

  private static final int EPOCH_BYTES = 6;
  private static final SecureRandom RANDOM = new SecureRandom();

  private final Connection connection;
  private final TimeSource time;
  private final Statement plain;
  private final PreparedStatement findId;
  private final PreparedStatement insertEntry;
  private final PreparedStatement moveCursor;
  private final PreparedStatement markSequence;
  private final PreparedStatement findSequence;
  private final PreparedStatement findEpoch;
  private final PreparedStatement insertEpoch;

  private long head;
  private byte[] digest = Chain.start();

  /** Takes the connection over and reads where the chain ends. */
  WriteConnection(Connection connection, TimeSource time) throws SQLException {
    this.connection = connection;
    this.time = time;
    plain = connection.createStatement();
    findId = connection.prepareStatement("SELECT position FROM entry WHERE id = ?");
    insertEntry =
        connection.prepareStatement(
            "INSERT INTO entry (position, id, kind, station, payload, digest, written_at)"
                + " VALUES (?, ?, ?, ?, ?, ?, ?)");
    moveCursor =
        connection.prepareStatement(
            "INSERT INTO cursor (follower, position) VALUES (?, ?)"
                + " ON CONFLICT (follower) DO UPDATE SET position = excluded.position");
    markSequence =
        connection.prepareStatement(
            "INSERT INTO sequence (source, epoch, last) VALUES (?, ?, ?)"
                + " ON CONFLICT (source, epoch) DO UPDATE SET last = max(last, excluded.last)");
    findSequence =
        connection.prepareStatement("SELECT last FROM sequence WHERE source = ? AND epoch = ?");
    findEpoch = connection.prepareStatement("SELECT epoch FROM own_epoch WHERE source = ?");
    insertEpoch =
        connection.prepareStatement("INSERT INTO own_epoch (source, epoch) VALUES (?, ?)");
    try (ResultSet last =
        plain.executeQuery("SELECT position, digest FROM entry ORDER BY position DESC LIMIT 1")) {
      if (last.next()) {
        head = last.getLong(1);
        digest = last.getBytes(2);
      }
    }
  }

  /** Returns the last position written, committed or not. */
  long head() {
    return head;
  }

  void begin() throws SQLException {
    plain.execute("BEGIN IMMEDIATE");
  }

  void commit() throws SQLException {
    plain.execute("COMMIT");
  }

  void rollback() throws SQLException {
    plain.execute("ROLLBACK");
  }

  Outcome append(Draft draft) throws SQLException {
    findId.setString(1, draft.id());
    try (ResultSet known = findId.executeQuery()) {
      if (known.next()) {
        return new Outcome(known.getLong(1), true);
      }
    }
    byte[] next = Chain.next(digest, draft.payload());
    insertEntry.setLong(1, head + 1);
    insertEntry.setString(2, draft.id());
    insertEntry.setString(3, draft.kind());
    insertEntry.setString(4, draft.station());
    insertEntry.setBytes(5, draft.payload());
    insertEntry.setBytes(6, next);
    insertEntry.setString(7, time.now().toString());
    insertEntry.executeUpdate();
    head++;
    digest = next;
    return new Outcome(head, false);
  }

  void moveCursor(String follower, long position) throws SQLException {
    moveCursor.setString(1, follower);
    moveCursor.setLong(2, position);
    moveCursor.executeUpdate();
  }

  void mark(SequenceMark mark) throws SQLException {
    markSequence.setString(1, mark.source());
    markSequence.setString(2, mark.epoch());
    markSequence.setLong(3, mark.last());
    markSequence.executeUpdate();
  }

  OwnEpoch ownEpoch(String source) throws SQLException {
    findEpoch.setString(1, source);
    try (ResultSet known = findEpoch.executeQuery()) {
      if (known.next()) {
        String epoch = known.getString(1);
        return new OwnEpoch(epoch, lastSequence(source, epoch));
      }
    }
    byte[] random = new byte[EPOCH_BYTES];
    RANDOM.nextBytes(random);
    String epoch = HexFormat.of().formatHex(random);
    insertEpoch.setString(1, source);
    insertEpoch.setString(2, epoch);
    insertEpoch.executeUpdate();
    return new OwnEpoch(epoch, lastSequence(source, epoch));
  }

  private long lastSequence(String source, String epoch) throws SQLException {
    findSequence.setString(1, source);
    findSequence.setString(2, epoch);
    try (ResultSet rows = findSequence.executeQuery()) {
      return rows.next() ? rows.getLong(1) : 0;
    }
  }

  @Override
  public void close() throws SQLException {
    connection.close();
  }
}
