package org.tallywire.journal;

import java.sql.PreparedStatement;
import java.sql.ResultSet;
import java.sql.SQLException;
import java.sql.Statement;
import java.util.ArrayList;
import java.util.List;

/**
 * What becomes of a journal that was put back from a copy: it gives positions out again that were
 * given out after the copy was made, so it gets another identity; so would its own epochs give
 * numbers out again, so they are made anew; and what consumers confirmed counted in the journal it
 * was, so they confirm from the anchor on.
 */
final class Restored {

  /** How the names of those followers begin that are consumers. */
  private static final String CONSUMER = "consumer:";

  private Restored() {}

  /** Does it in one transaction; a failure costs the connection. */
  static void begin(WriteConnection writing, String now) throws SQLException, JournalException {
    writing.begin();
    try (Statement plain = writing.connection().createStatement();
        PreparedStatement journal =
            writing.connection().prepareStatement("REPLACE INTO journal VALUES (?, ?, ?, ?)")) {
      WriteConnection.put(journal, 1L, WriteConnection.randomDigits(), now);
      plain.execute("DELETE FROM own_epoch");
      long anchor = writing.anchor().position();
      for (String consumer : consumers(writing, plain)) {
        writing.moveCursor(consumer, anchor);
      }
    }
    writing.commit();
  }

  private static List<String> consumers(WriteConnection writing, Statement plain)
      throws SQLException, JournalException {
    List<String> consumers = new ArrayList<>();
    try (ResultSet found = plain.executeQuery("SELECT * FROM cursor")) {
      while (found.next()) {
        String follower = writing.rows().cursor(found).follower();
        if (follower.startsWith(CONSUMER)) {
          consumers.add(follower);
        }
      }
    }
    return consumers;
  }
}
