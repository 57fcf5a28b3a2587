package org.tallywire.api;

import java.time.Instant;
import java.util.Arrays;
import java.util.Locale;
import java.util.Optional;

/**
 * Readings that are known to be missing: loss that could not be prevented is declared.
 *
 * @param instrument whose readings are missing
 * @param from the first missing sequence number, with its epoch
 * @param to the last missing number of that epoch, not below the first
 * @param reason why
 * @param detail a sentence for people
 * @param raw the line that was refused, where one was; else empty
 * @param noticedAt when it was noticed here
 */
public record Gap(
    Instrument instrument,
    SequenceNumber from,
    long to,
    Reason reason,
    String detail,
    String raw,
    Instant noticedAt) {

  public Gap {
    if (to < from.number()) {
      throw new IllegalArgumentException(
          "gap %d to %d runs backwards".formatted(from.number(), to));
    }
  }

  /** Why readings are missing. */
  public enum Reason {
    /** The instrument says that its store overflowed. */
    OVERFLOW,
    /** The instrument gave numbers that never arrived, and no longer has them. */
    SKIPPED,
    /** It arrived undamaged and is no reading of its language; the line is kept here. */
    UNREADABLE,
    /** A repeat under the same number said something else; the first stays, this one is refused. */
    CONFLICT;

    /** Returns the word for it in records. */
    public String word() {
      return name().toLowerCase(Locale.ROOT);
    }

    /** Returns the reason with the given word, or nothing if there is none. */
    public static Optional<Reason> of(String word) {
      return Arrays.stream(values()).filter(reason -> reason.word().equals(word)).findFirst();
    }
  }
}
