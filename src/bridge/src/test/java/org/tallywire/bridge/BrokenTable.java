package org.tallywire.bridge;

import java.nio.file.Path;
import java.sql.Connection;
import java.sql.DriverManager;
import java.sql.SQLException;
import java.sql.Statement;

/** Takes a table of a real journal away for a while, so that what writes to it really fails. */
final class BrokenTable implements AutoCloseable {

  private final Connection connection;
  private final String table;

  BrokenTable(Path folder, String table) throws SQLException {
    this.connection = DriverManager.getConnection("jdbc:sqlite:" + folder.resolve("journal.db"));
    this.table = table;
  }

  void takeAway() throws SQLException {
    rename(table, table + "_away");
  }

  private void rename(String from, String to) throws SQLException {
    try (Statement statement = connection.createStatement()) {
      statement.execute("ALTER TABLE %s RENAME TO %s".formatted(from, to));
    }
  }

  @Override
  public void close() throws SQLException {
    rename(table + "_away", table);
    connection.close();
  }
}
