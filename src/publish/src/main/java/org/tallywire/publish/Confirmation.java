package org.tallywire.publish;

import java.nio.charset.StandardCharsets;
import java.util.Optional;
import java.util.regex.Matcher;
import java.util.regex.Pattern;

/**
 * What a consumer says: that it holds everything up to a position.
 *
 * @param journal the identity of the journal in which the position counts
 */
record Confirmation(String journal, long position) {

  private static final String SPACE = "[ \\t\\r\\n]*+";
  private static final String JOURNAL =
      SPACE + "\"journal\"" + SPACE + ":" + SPACE + "\"([0-9a-f]{12})\"" + SPACE;
  private static final String POSITION =
      SPACE + "\"position\"" + SPACE + ":" + SPACE + "(0|[1-9][0-9]{0,17}+)" + SPACE;
  private static final Pattern JOURNAL_FIRST = object(JOURNAL + "," + POSITION);
  private static final Pattern POSITION_FIRST = object(POSITION + "," + JOURNAL);

  /** Reads exactly {@code {"journal":"0123456789ab","position":164}}, in either order. */
  static Optional<Confirmation> read(byte[] payload) {
    // only ASCII is of the form, so whatever else a byte means it does not match
    String text = new String(payload, StandardCharsets.ISO_8859_1);
    Matcher journalFirst = JOURNAL_FIRST.matcher(text);
    if (journalFirst.matches()) {
      return Optional.of(
          new Confirmation(journalFirst.group(1), Long.parseLong(journalFirst.group(2))));
    }
    Matcher positionFirst = POSITION_FIRST.matcher(text);
    if (positionFirst.matches()) {
      return Optional.of(
          new Confirmation(positionFirst.group(2), Long.parseLong(positionFirst.group(1))));
    }
    return Optional.empty();
  }

  private static Pattern object(String members) {
    return Pattern.compile(SPACE + "\\{" + members + "\\}" + SPACE);
  }
}
