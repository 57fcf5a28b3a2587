package org.tallywire.journal;

import java.sql.Connection;
import java.sql.PreparedStatement;
import java.sql.ResultSet;
import java.sql.SQLException;
import java.time.Instant;
import java.util.ArrayDeque;
import java.util.ArrayList;
import java.util.Deque;
import java.util.List;

/**
 * Lends reading connections to any thread; they see committed entries and never hold the writer.
 */
final class ReadConnections implements AutoCloseable {

  private static final int KEPT = 4;

  /** Turns the row a result stands on into a value. */
  interface Row<T> {
    T read(ResultSet row) throws SQLException;
  }

  private final Database database;
  private final Deque<Connection> idle = new ArrayDeque<>();
  private boolean closed;

  ReadConnections(Database database) {
    this.database = database;
  }

  /** Runs a query with its parameters, strings or longs, and returns all its rows. */
  <T> List<T> query(String sql, Row<T> row, Object... parameters) throws SQLException {
    Connection connection = lend();
    boolean sound = false;
    try (PreparedStatement statement = connection.prepareStatement(sql)) {
      for (int i = 0; i < parameters.length; i++) {
        statement.setObject(i + 1, parameters[i]);
      }
      List<T> rows = new ArrayList<>();
      try (ResultSet result = statement.executeQuery()) {
        while (result.next()) {
          rows.add(row.read(result));
        }
      }
      sound = true;
      return rows;
    } finally {
      giveBack(connection, sound);
    }
  }

  /** Reads one whole entry. */
  static JournalEntry entry(ResultSet row) throws SQLException {
    return new JournalEntry(
        row.getLong("position"),
        row.getString("id"),
        row.getString("kind"),
        row.getString("station"),
        row.getBytes("payload"),
        row.getBytes("digest"),
        Instant.parse(row.getString("written_at")));
  }

  private Connection lend() throws SQLException {
    synchronized (idle) {
      if (closed) {
        throw new SQLException("the journal is closed");
      }
      Connection kept = idle.poll();
      if (kept != null) {
        return kept;
      }
    }
    return database.openForReading();
  }

  private void giveBack(Connection connection, boolean sound) throws SQLException {
    synchronized (idle) {
      if (sound && !closed && idle.size() < KEPT) {
        idle.push(connection);
        return;
      }
    }
    connection.close();
  }

  /** Closes what is idle; what is lent closes when it comes back. */
  @Override
  public void close() throws SQLException {
    List<Connection> unused;
    synchronized (idle) {
      closed = true;
      unused = List.copyOf(idle);
      idle.clear();
    }
    for (Connection connection : unused) {
      connection.close();
    }
  }
}
