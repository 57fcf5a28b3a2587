package org.tallywire.journal;

/**
 * How far an instrument's own numbering is safe in the journal; it never moves back.
 *
 * @param source the instrument's identity, or the station of one without
 * @param epoch the run of numbers, for example the instrument's boot id
 * @param last the highest number that is durable, 0 or more
 */
public record SequenceMark(String source, String epoch, long last) {

  public SequenceMark {
    if (source.isEmpty() || epoch.isEmpty() || last < 0) {
      throw new IllegalArgumentException(
          "a sequence mark needs a source, an epoch and a number from 0, not \"%s\", \"%s\", %d"
              .formatted(source, epoch, last));
    }
  }
}
