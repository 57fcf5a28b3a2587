package org.tallywire.journal;

/**
 * Where retention cut the journal off: the last entry that was removed, and what the chain goes on
 * from.
 *
 * @param position the last position removed, 0 if nothing ever was
 * @param digest that entry's digest, 32 bytes; 32 zero bytes at position 0
 */
@SuppressWarnings("ArrayRecordComponent") // bytes are what it is about; anchors are not compared
public record Anchor(long position, byte[] digest) {}
