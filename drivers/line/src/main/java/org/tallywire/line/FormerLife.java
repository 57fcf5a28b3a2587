package org.tallywire.line;

import java.time.Instant;
import java.util.Map;
import java.util.Optional;
import org.tallywire.api.Gap;
import org.tallywire.api.Instrument;
import org.tallywire.api.SequenceNumber;
import org.tallywire.api.SessionHost;

/**
 * What an instrument was known to have given under its last boot id, kept from link to link: if it
 * comes back under another one, what did not arrive is lost (rule L-15c).
 */
final class FormerLife {

  private static final String WHO = "life: instrument";
  private static final String BOOT = "life: boot id";
  private static final String HAVE = "life: taken up to";
  private static final String GIVEN = "life: given up to";

  private final Map<String, String> notes;

  FormerLife(SessionHost host) {
    this.notes = host.notes();
  }

  /**
   * Takes note of how far a boot id has come.
   *
   * @param have the last number that was taken here
   * @param given the last number that the instrument has given, as far as is known
   */
  void know(Instrument instrument, String boot, long have, long given) {
    long before = boot.equals(notes.get(BOOT)) ? number(GIVEN) : 0;
    notes.put(WHO, identity(instrument));
    notes.put(BOOT, boot);
    notes.put(HAVE, Long.toString(have));
    notes.put(GIVEN, Long.toString(Math.max(given, before)));
  }

  /** Returns what is lost now that the instrument says a boot id, if anything is. */
  Optional<Gap> lost(Instrument instrument, String boot, Instant noticedAt) {
    String former = notes.getOrDefault(BOOT, boot);
    if (former.equals(boot)
        || !instrument.identified()
        || !identity(instrument).equals(notes.get(WHO))
        || number(GIVEN) <= number(HAVE)) {
      return Optional.empty();
    }
    long from = number(HAVE) + 1;
    long to = number(GIVEN);
    return Optional.of(
        new Gap(
            instrument,
            new SequenceNumber(former, from),
            to,
            Gap.Reason.SKIPPED,
            ("readings %d to %d are missing: the instrument has started again, under boot id %s, and"
                    + " no longer has what it gave before")
                .formatted(from, to, boot),
            "",
            noticedAt));
  }

  private long number(String note) {
    return Long.parseLong(notes.getOrDefault(note, "0"));
  }

  private static String identity(Instrument instrument) {
    return String.join("\n", instrument.maker(), instrument.model(), instrument.serial());
  }
}
