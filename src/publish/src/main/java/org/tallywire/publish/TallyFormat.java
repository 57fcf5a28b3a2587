package org.tallywire.publish;

import java.util.List;

/** Writes the record that tells consumers what they should have received. */
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
}
