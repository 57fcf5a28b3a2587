package org.tallywire.journal;

import java.security.MessageDigest;
import java.security.NoSuchAlgorithmException;
import java.util.HexFormat;
import java.util.Optional;

/** Links each entry to all before it: SHA-256 over the previous digest and the payload. */
final class Chain {

  private static final int LENGTH = 32;

  private Chain() {}

  /** Returns what stands in for the digest before the first entry: 32 zero bytes. */
  static byte[] start() {
    return new byte[LENGTH];
  }

  static byte[] next(byte[] previous, byte[] payload) {
    try {
      MessageDigest sha = MessageDigest.getInstance("SHA-256");
      sha.update(previous);
      return sha.digest(payload);
    } catch (NoSuchAlgorithmException e) {
      throw new IllegalStateException("every Java platform has SHA-256", e);
    }
  }

  /** Returns what is wrong with an entry that should follow {@code previous} at a position. */
  static Optional<String> fault(JournalEntry entry, long position, byte[] previous) {
    if (entry.position() != position) {
      return Optional.of(
          "after position %d comes %d (id \"%s\"): entries are missing between them"
              .formatted(position - 1, entry.position(), entry.id()));
    }
    byte[] expected = next(previous, entry.payload());
    if (MessageDigest.isEqual(expected, entry.digest())) {
      return Optional.empty();
    }
    HexFormat hex = HexFormat.of();
    return Optional.of(
        "the chain breaks at position %d (id \"%s\"): its %d payload bytes give digest %s, stored is %s; this entry, or the digest before it, was changed after it was written"
            .formatted(
                position,
                entry.id(),
                entry.payload().length,
                hex.formatHex(expected),
                hex.formatHex(entry.digest())));
  }
}
