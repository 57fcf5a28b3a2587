package org.tallywire.api;

import java.util.regex.Pattern;

/**
 * An instrument's own number for a reading, unique within an epoch.
 *
 * @param epoch the instrument's boot id, 1 to 32 of {@code A-Za-z0-9_-}: it changes whenever the
 *     counter may have been lost
 * @param number from 1, one more for every reading of the epoch
 */
public record SequenceNumber(String epoch, long number) {

  private static final Pattern EPOCH = Pattern.compile("[A-Za-z0-9_-]{1,32}");

  public SequenceNumber {
    if (!EPOCH.matcher(epoch).matches()) {
      throw new IllegalArgumentException(
          "epoch \"%s\" is not 1 to 32 of A-Z a-z 0-9 _ -".formatted(epoch));
    }
    if (number < 1) {
      throw new IllegalArgumentException("sequence numbers start at 1, not " + number);
    }
  }
}
