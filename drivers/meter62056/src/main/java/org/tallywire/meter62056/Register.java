package org.tallywire.meter62056;

/**
 * One value of a data message.
 *
 * @param code where it stands, as it was sent
 * @param value as it was sent
 * @param unit as it was sent, empty if none was
 */
record Register(Code code, String value, String unit) {}
