package org.tallywire.meter62056;

import java.util.regex.Matcher;
import java.util.regex.Pattern;
import org.jspecify.annotations.Nullable;

/**
 * The address of a data set by OBIS (IEC 62056-61): {@code A-B:C.D.E*F}, of which all but {@code
 * C.D} may be left out. What is not of that form has everything in its register.
 *
 * @param medium {@code A-B}, empty if it was not sent
 * @param register {@code C.D} or {@code C.D.E}
 * @param period {@code F}, a former billing period; empty if it is the present one
 */
record Code(String medium, String register, String period) {

  private static final Pattern GRAMMAR =
      Pattern.compile(
          "(?:([0-9]{1,3}-[0-9]{1,3}):)?([0-9A-Z]{1,3}(?:\\.[0-9A-Z]{1,3}){1,2})(?:[*&]([0-9]{1,3}))?");

  /** Stands for the present period. */
  private static final String PRESENT = "255";

  static Code of(String address) {
    Matcher parts = GRAMMAR.matcher(address);
    if (!parts.matches()) {
      return new Code("", address, "");
    }
    String period = text(parts.group(3));
    return new Code(text(parts.group(1)), parts.group(2), period.equals(PRESENT) ? "" : period);
  }

  /** Tells whether this, as a person wrote it, means that one: what is left out here is free. */
  boolean means(Code sent) {
    return register.equals(sent.register)
        && period.equals(sent.period)
        && (medium.isEmpty() || medium.equals(sent.medium));
  }

  private static String text(@Nullable String group) {
    return group == null ? "" : group;
  }

  @Override
  public String toString() {
    return (medium.isEmpty() ? "" : medium + ":")
        + register
        + (period.isEmpty() ? "" : "*" + period);
  }
}
