package org.tallywire.journal;

import java.io.IOException;
import java.nio.channels.FileChannel;
import java.nio.file.Path;
import java.nio.file.StandardOpenOption;
import java.security.SecureRandom;
import java.sql.Connection;
import java.sql.PreparedStatement;
import java.sql.ResultSet;
import java.sql.SQLException;
import java.sql.Statement;
import java.util.ArrayList;
import java.util.HexFormat;
import java.util.List;
import java.util.Optional;
import org.tallywire.api.TimeSource;

/** The one connection that writes; used by the writer thread only, discarded after any error. */
final class WriteConnection implements AutoCloseable {

  private static final int EPOCH_BYTES = 6;
  private static final SecureRandom RANDOM = new SecureRandom();

  private final Connection connection;
  private final TimeSource time;
  private final Rows rows;
  private final Statement plain;
  private final PreparedStatement findId;
  private final PreparedStatement findPosition;
  private final PreparedStatement findRemoved;
  private final PreparedStatement insertEntry;
  private final PreparedStatement moveCursor;
  private final PreparedStatement markSequence;
  private final PreparedStatement findSequence;
  private final PreparedStatement findEpoch;
  private final PreparedStatement insertEpoch;
  private final PreparedStatement insertShelved;
  private final PreparedStatement deleteShelved;

  private long head;
  private byte[] digest;
  private Anchor begun;

  /** Takes the connection over and reads where the chain ends. */
  WriteConnection(Connection connection, Rows rows, TimeSource time)
      throws SQLException, JournalException {
    this.connection = connection;
    this.rows = rows;
    this.time = time;
    plain = connection.createStatement();
    findId = connection.prepareStatement("SELECT * FROM entry WHERE id = ?");
    findPosition = connection.prepareStatement("SELECT * FROM entry WHERE position = ?");
    findRemoved = connection.prepareStatement("SELECT * FROM removed WHERE id = ?");
    insertEntry =
        connection.prepareStatement(
            "INSERT INTO entry (position, id, kind, station, payload, digest, written_at, guard)"
                + " VALUES (?, ?, ?, ?, ?, ?, ?, ?)");
    moveCursor =
        connection.prepareStatement(
            "REPLACE INTO cursor (follower, position, guard) VALUES (?, ?, ?)");
    markSequence =
        connection.prepareStatement(
            "REPLACE INTO sequence (source, epoch, last, guard) VALUES (?, ?, ?, ?)");
    findSequence =
        connection.prepareStatement("SELECT * FROM sequence WHERE source = ? AND epoch = ?");
    findEpoch = connection.prepareStatement("SELECT * FROM own_epoch WHERE source = ?");
    insertEpoch =
        connection.prepareStatement(
            "INSERT INTO own_epoch (source, epoch, guard) VALUES (?, ?, ?)");
    insertShelved =
        connection.prepareStatement(
            "INSERT OR IGNORE INTO shelf (follower, position, id, kind, station, reason, at, guard)"
                + " VALUES (?, ?, ?, ?, ?, ?, ?, ?)");
    deleteShelved =
        connection.prepareStatement("DELETE FROM shelf WHERE follower = ? AND position = ?");
    begun = end();
    head = begun.position();
    digest = begun.digest();
  }

  /** Reads the last entry, checked against the one before it, or the anchor if there is none. */
  private Anchor end() throws SQLException, JournalException {
    Anchor before = anchor();
    List<JournalEntry> last = new ArrayList<>();
    try (ResultSet found =
        plain.executeQuery("SELECT * FROM entry ORDER BY position DESC LIMIT 2")) {
      while (found.next()) {
        last.add(0, rows.entry(found));
      }
    }
    if (last.isEmpty()) {
      return before;
    }
    if (last.size() > 1) {
      before = new Anchor(last.get(0).position(), last.get(0).digest());
    }
    JournalEntry end = last.get(last.size() - 1);
    Optional<String> fault = Chain.fault(end, before.position() + 1, before.digest());
    if (fault.isPresent()) {
      throw JournalException.damaged(rows.file(), fault.get());
    }
    return new Anchor(end.position(), end.digest());
  }

  /** Returns the last position written, committed or not. */
  long head() {
    return head;
  }

  /** Returns the digest of the last entry written, committed or not. */
  byte[] digest() {
    return digest;
  }

  /** Returns the digest of the entry at a position, or of the anchor there; empty if neither. */
  Optional<byte[]> digestAt(long position) throws SQLException, JournalException {
    Anchor anchor = anchor();
    if (anchor.position() == position) {
      return Optional.of(anchor.digest());
    }
    findPosition.setLong(1, position);
    return first(findPosition, rows::entry).map(JournalEntry::digest);
  }

  Connection connection() {
    return connection;
  }

  Rows rows() {
    return rows;
  }

  void begin() throws SQLException {
    begun = new Anchor(head, digest);
    plain.execute("BEGIN IMMEDIATE");
  }

  void commit() throws SQLException {
    plain.execute("COMMIT");
  }

  void rollback() throws SQLException {
    plain.execute("ROLLBACK");
    head = begun.position();
    digest = begun.digest();
  }

  /** Folds the log into the file now, as far as that goes, and from then on after so many pages. */
  void fold(int pages) throws SQLException {
    plain.execute("PRAGMA wal_autocheckpoint = " + pages);
    plain.execute("PRAGMA wal_checkpoint(TRUNCATE)");
  }

  /**
   * Folds the whole log into the file and empties it, and makes that durable; returns whether no
   * reader was in the way. After a sync that failed the system may hold parts of the log that never
   * reached the disk, and no later sync of the log writes them (Rebello and others, Can
   * Applications Recover from fsync Failures?, 2020): what is acknowledged behind them would be
   * gone with them.
   *
   * <p>SQLite does not sync the log that it has emptied. With the power gone it could be found
   * again as the last sync that worked left it, ending before the part that was lost, and would put
   * its old pages over the new ones in the file.
   */
  boolean settle() throws SQLException, JournalException {
    try (ResultSet answer = plain.executeQuery("PRAGMA wal_checkpoint(TRUNCATE)")) {
      if (!answer.next() || answer.getInt(1) != 0) {
        return false;
      }
    }
    syncLog();
    return true;
  }

  /** SQLite puts its locks on the other two files, so this one may be opened and closed. */
  private void syncLog() throws JournalException {
    Path log = rows.file().resolveSibling(rows.file().getFileName() + "-wal");
    try (FileChannel open = FileChannel.open(log, StandardOpenOption.WRITE)) {
      open.force(true);
    } catch (IOException e) {
      throw new JournalException(
          "could not make the emptied log durable, file %s: %s. Check its disk".formatted(log, e),
          e);
    }
  }

  String identity() throws SQLException, JournalException {
    return required(
        plain.executeQuery("SELECT * FROM journal"), rows::identity, "table journal has no row");
  }

  Anchor anchor() throws SQLException, JournalException {
    return required(
        plain.executeQuery("SELECT * FROM anchor"), rows::anchor, "table anchor has no row");
  }

  Appended append(List<Draft> drafts) throws SQLException, JournalException {
    List<Outcome> outcomes = new ArrayList<>(drafts.size());
    for (Draft draft : drafts) {
      outcomes.add(append(draft));
    }
    return new Appended(outcomes);
  }

  private Outcome append(Draft draft) throws SQLException, JournalException {
    findId.setString(1, draft.id());
    Optional<JournalEntry> known = first(findId, rows::entry);
    if (known.isPresent()) {
      return new Outcome(known.get().position(), true);
    }
    findRemoved.setString(1, draft.id());
    Optional<Rows.Removed> removed = first(findRemoved, rows::removed);
    if (removed.isPresent()) {
      return new Outcome(removed.get().position(), true);
    }
    byte[] next = Chain.next(digest, draft.payload());
    put(
        insertEntry,
        head + 1,
        draft.id(),
        draft.kind(),
        draft.station(),
        draft.payload(),
        next,
        time.now().toString());
    head++;
    digest = next;
    return new Outcome(head, false);
  }

  void moveCursor(String follower, long position) throws SQLException {
    put(moveCursor, follower, position);
  }

  void forget(String follower) throws SQLException {
    try (PreparedStatement delete =
        connection.prepareStatement("DELETE FROM cursor WHERE follower = ?")) {
      delete.setString(1, follower);
      delete.executeUpdate();
    }
  }

  void mark(SequenceMark mark) throws SQLException, JournalException {
    // what is there is checked before it is compared, so that damage does not get a new guard
    long last = Math.max(mark.last(), lastSequence(mark.source(), mark.epoch()));
    put(markSequence, mark.source(), mark.epoch(), last);
  }

  OwnEpoch ownEpoch(String source) throws SQLException, JournalException {
    findEpoch.setString(1, source);
    Optional<Rows.Epoch> known = first(findEpoch, rows::epoch);
    if (known.isPresent()) {
      String epoch = known.get().epoch();
      return new OwnEpoch(epoch, lastSequence(source, epoch));
    }
    String epoch = randomDigits();
    put(insertEpoch, source, epoch);
    return new OwnEpoch(epoch, lastSequence(source, epoch));
  }

  /** Returns 12 random hexadecimal digits. */
  static String randomDigits() {
    byte[] random = new byte[EPOCH_BYTES];
    RANDOM.nextBytes(random);
    return HexFormat.of().formatHex(random);
  }

  private long lastSequence(String source, String epoch) throws SQLException, JournalException {
    findSequence.setString(1, source);
    findSequence.setString(2, epoch);
    return first(findSequence, rows::mark).map(SequenceMark::last).orElse(0L);
  }

  void shelve(String follower, long position, String reason) throws SQLException, JournalException {
    findPosition.setLong(1, position);
    JournalEntry entry =
        first(findPosition, rows::entry)
            .orElseThrow(
                () ->
                    JournalException.refused(
                        "there is no entry at position %d; it was removed, or never was"
                            .formatted(position)));
    put(
        insertShelved,
        follower,
        position,
        entry.id(),
        entry.kind(),
        entry.station(),
        reason,
        time.now().toString());
  }

  void unshelve(String follower, long position) throws SQLException {
    deleteShelved.setString(1, follower);
    deleteShelved.setLong(2, position);
    deleteShelved.executeUpdate();
  }

  /** Writes a row: the columns and their guard, in the order of the statement's parameters. */
  static void put(PreparedStatement statement, Object... columns) throws SQLException {
    for (int i = 0; i < columns.length; i++) {
      statement.setObject(i + 1, columns[i]);
    }
    statement.setLong(columns.length + 1, Guard.of(columns));
    statement.executeUpdate();
  }

  private static <T> Optional<T> first(PreparedStatement statement, Reads.Row<T> row)
      throws SQLException, JournalException {
    try (ResultSet found = statement.executeQuery()) {
      return found.next() ? Optional.of(row.read(found)) : Optional.empty();
    }
  }

  private <T> T required(ResultSet found, Reads.Row<T> row, String absent)
      throws SQLException, JournalException {
    try (found) {
      if (!found.next()) {
        throw JournalException.damaged(rows.file(), absent);
      }
      return row.read(found);
    }
  }

  @Override
  public void close() throws SQLException {
    connection.close();
  }
}
