package org.tallywire.report;

import java.util.Optional;
import java.util.regex.Matcher;
import java.util.regex.Pattern;

/**
 * An entry of a journal as somebody noted it who keeps it apart: what shows that an end was cut off
 * or all was written anew.
 *
 * @param digest 64 hexadecimal digits
 */
public record HeldHead(long position, String digest) {

  private static final Pattern FORM = Pattern.compile("([0-9]{1,18}):([0-9a-fA-F]{64})");

  /** Reads {@code position:digest}; nothing if it is not of that form. */
  public static Optional<HeldHead> of(String text) {
    Matcher form = FORM.matcher(text.strip());
    return form.matches()
        ? Optional.of(
            new HeldHead(
                Long.parseLong(form.group(1)), form.group(2).toLowerCase(java.util.Locale.ROOT)))
        : Optional.empty();
  }
}
