package org.tallywire.acceptance;

/**
 * Something on a nameplate that can be but seldom is: to be answered before a lead is connected,
 * and no refusal.
 *
 * @param about what of the plate it is about, for example {@code HV current}
 * @param sentence what was found, with its numbers, and what to look at
 * @param rule what it was held against
 */
public record Doubt(String about, String sentence, Rule rule) {}
