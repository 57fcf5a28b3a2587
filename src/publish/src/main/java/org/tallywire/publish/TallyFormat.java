package org.tallywire.publish;

import java.util.List;
import org.tallywire.journal.JournalEntry;

/**
 * Writes the record that tells consumers what they should have received, and says in which form an
 * entry goes out.
 */
public interface TallyFormat {

  /**
   * Returns the record's bytes.
   *
   * @param journal the journal's identity, in which the positions count
   * @param from the first position it tells of
   * @param to the last
   * @param ids of the entries from first to last, in order; shelved ones included
   * @param shelved the positions among them that lie on the shelf
   * @param digest the chain's digest at the last position, 32 bytes
   */
  byte[] write(
      String journal, long from, long to, List<String> ids, List<Long> shelved, byte[] digest);

  /**
   * Returns the bytes that are published for an entry: those that were journalled, unless another
   * form is wanted. The same each time for the same entry; throws nothing.
   */
  default byte[] payload(JournalEntry entry) {
    return entry.payload();
  }
}
