package org.tallywire.journal;

import java.time.Instant;

/**
 * A record as the journal holds it; its arrays are its own and left unchanged by whoever reads
 * them.
 *
 * @param position its place, from 1 without a hole
 * @param id the record's identity
 * @param kind the kind of record
 * @param station the station it belongs to
 * @param payload the bytes that were appended
 * @param digest SHA-256 over the previous entry's digest (32 zero bytes for the first) and the
 *     payload, 32 bytes
 * @param writtenAt when the journal wrote it, wall time
 */
@SuppressWarnings("ArrayRecordComponent") // bytes are what it is about; entries are not compared
public record JournalEntry(
    long position,
    String id,
    String kind,
    String station,
    byte[] payload,
    byte[] digest,
    Instant writtenAt) {}
