package org.tallywire.journal;

import java.sql.Connection;
import java.sql.SQLException;
import java.sql.Statement;
import java.util.ArrayDeque;
import java.util.Deque;
import java.util.List;

/**
 * Lends reading connections to any thread; they see committed entries and never hold the writer.
 */
final class ReadConnections implements AutoCloseable {

  private static final int KEPT = 4;

  /** Something to read; all its queries see the same moment. */
  interface Use<T> {
    T on(Connection connection) throws SQLException, JournalException;
  }

  private final Database database;
  private final Deque<Connection> idle = new ArrayDeque<>();
  private boolean closed;

  ReadConnections(Database database) {
    this.database = database;
  }

  /** Runs queries that all see what was committed at one moment. */
  <T> T snapshot(Use<T> use) throws SQLException, JournalException {
    Connection connection = lend();
    boolean sound = false;
    try (Statement statement = connection.createStatement()) {
      statement.execute("BEGIN");
      T result = use.on(connection);
      statement.execute("COMMIT");
      sound = true;
      return result;
    } finally {
      giveBack(connection, sound);
    }
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
