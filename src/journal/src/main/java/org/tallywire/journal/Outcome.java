package org.tallywire.journal;

/**
 * What became of one draft.
 *
 * @param position where the entry with the draft's id is, or was before retention removed it
 * @param repeat whether that entry was there already; then nothing was written for this draft
 */
public record Outcome(long position, boolean repeat) {}
