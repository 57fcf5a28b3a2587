package org.tallywire.fault;

import java.nio.charset.StandardCharsets;
import java.nio.file.Path;
import java.sql.Connection;
import java.sql.DriverManager;
import java.sql.ResultSet;
import java.sql.SQLException;
import java.sql.Statement;
import java.util.ArrayList;
import java.util.List;
import java.util.Optional;
import org.tallywire.api.TimeSource;
import org.tallywire.journal.Journal;
import org.tallywire.journal.JournalEntry;
import org.tallywire.journal.JournalException;

/** What a journal holds: beside a bridge that runs, and through the journal itself afterwards. */
final class Kept {

  private static final int PAGE = 1000;

  private Kept() {}

  /** Returns the ids of all entries in order, from the file, as any SQLite tool would read it. */
  static List<String> ids(Path data) throws SQLException {
    return column(data, "id").stream().map(id -> new String(id, StandardCharsets.UTF_8)).toList();
  }

  /** Returns all records in order, from the file, as any SQLite tool would read it. */
  static List<Told> beside(Path data) throws SQLException {
    return column(data, "payload").stream()
        .map(payload -> Told.of(new String(payload, StandardCharsets.UTF_8)))
        .toList();
  }

  private static List<byte[]> column(Path data, String name) throws SQLException {
    String file = "jdbc:sqlite:file:" + data.resolve("journal.db") + "?mode=ro";
    List<byte[]> all = new ArrayList<>();
    try (Connection connection = DriverManager.getConnection(file);
        Statement statement = connection.createStatement();
        ResultSet rows =
            statement.executeQuery(
                "SELECT CAST(" + name + " AS BLOB) FROM entry ORDER BY position")) {
      while (rows.next()) {
        all.add(rows.getBytes(1));
      }
    }
    return all;
  }

  /**
   * Opens the journal of a bridge that has ended and returns all records.
   *
   * @throws JournalException if it is damaged
   */
  static List<Told> after(Path data) throws JournalException {
    try (Journal journal = Journal.open(data, TimeSource.system())) {
      Optional<String> broken = journal.verify();
      if (broken.isPresent()) {
        throw new AssertionError("the chain of digests is broken: " + broken.get());
      }
      List<Told> all = new ArrayList<>();
      for (long at = 0; at < journal.head(); ) {
        for (JournalEntry entry : journal.read(at, PAGE)) {
          Told told = Told.of(new String(entry.payload(), StandardCharsets.UTF_8));
          if (!told.id().equals(entry.id()) || !told.kind().equals(entry.kind())) {
            throw new AssertionError("entry %d is %s".formatted(entry.position(), told.text()));
          }
          all.add(told);
          at = entry.position();
        }
      }
      return all;
    }
  }
}
