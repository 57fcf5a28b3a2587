package org.tallywire.journal;

/**
 * The numbering the journal keeps for an instrument that has none of its own.
 *
 * @param epoch 12 random lower-case hexadecimal digits, made once and kept
 * @param last the last number marked in it, 0 if none
 */
public record OwnEpoch(String epoch, long last) {}
