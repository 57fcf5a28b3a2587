package org.tallywire.report;

import java.util.HexFormat;
import org.tallywire.journal.JournalEntry;

/**
 * An entry of the journal that belongs to a test set, with the digest of the entry before it, so
 * that its own can be computed again.
 *
 * @param previous digest of the entry before it, 64 hexadecimal digits
 * @param digest SHA-256 over the previous digest's bytes and the payload, likewise
 * @param payload the record byte for byte, to be left unchanged
 */
@SuppressWarnings("ArrayRecordComponent") // bytes are what it is about; entries are not compared
public record RecordedEntry(
    long position, String kind, String id, String previous, String digest, byte[] payload) {

  static RecordedEntry of(JournalEntry entry, byte[] previous) {
    HexFormat hex = HexFormat.of();
    return new RecordedEntry(
        entry.position(),
        entry.kind(),
        entry.id(),
        hex.formatHex(previous),
        hex.formatHex(entry.digest()),
        entry.payload());
  }
}
