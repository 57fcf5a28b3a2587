package org.tallywire.journal;

import java.time.Instant;

/**
 * An entry that a follower could not get rid of and put aside, so that it holds up nothing else.
 *
 * @param follower who put it aside
 * @param position the entry's place in the journal
 * @param id the record's identity
 * @param kind the kind of record
 * @param station the station it belongs to
 * @param reason a sentence for people: what happened, with which numbers, and what to do
 * @param at when it was put aside, wall time
 */
public record Shelved(
    String follower,
    long position,
    String id,
    String kind,
    String station,
    String reason,
    Instant at) {}
