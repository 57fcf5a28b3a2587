package org.tallywire.line;

import java.time.Instant;
import java.util.Map;
import java.util.Optional;
import org.tallywire.api.Gap;
import org.tallywire.api.Instrument;
import org.tallywire.api.SequenceNumber;
import org.tallywire.api.SessionHost;

/**
 * What the instruments of a station were known to have given under their last boot ids, kept from
 * link to link: if one comes back under another boot id, what did not arrive is lost (rule L-15c),
 * also where another instrument had its place meanwhile.
 */
final class FormerLife {

  private static final String LIFE = "life: ";
  private static final String BOOT = LIFE + "boot id of ";
  private static final String HAVE = LIFE + "taken up to from ";
  private static final String GIVEN = LIFE + "given up to by ";

  /** Of so many instruments, with three notes each, something is remembered. */
  private static final int MOST_NOTES = 3 * 32;

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
    String who = identity(instrument);
    if (!notes.containsKey(BOOT + who)) {
      forgetIfTooMany();
    }
    long before = boot.equals(notes.get(BOOT + who)) ? number(GIVEN + who) : 0;
    notes.put(BOOT + who, boot);
    notes.put(HAVE + who, Long.toString(have));
    notes.put(GIVEN + who, Long.toString(Math.max(given, before)));
  }

  /** Returns a sentence if the instrument is known from before under another boot id. */
  Optional<String> startedAgain(Instrument instrument, String boot) {
    return former(instrument, boot)
        .map(
            former ->
                "the instrument, serial %s, has started again: its boot id is %s, it was %s"
                    .formatted(instrument.serial(), boot, former));
  }

  /** Returns what is lost now that the instrument says a boot id, if anything is. */
  Optional<Gap> lost(Instrument instrument, String boot, Instant noticedAt) {
    String who = identity(instrument);
    Optional<String> former = former(instrument, boot);
    if (former.isEmpty() || number(GIVEN + who) <= number(HAVE + who)) {
      return Optional.empty();
    }
    long from = number(HAVE + who) + 1;
    long to = number(GIVEN + who);
    return Optional.of(
        new Gap(
            instrument,
            new SequenceNumber(former.get(), from),
            to,
            Gap.Reason.SKIPPED,
            ("readings %d to %d are missing: the instrument has started again, under boot id %s, and"
                    + " no longer has what it gave before")
                .formatted(from, to, boot),
            "",
            noticedAt));
  }

  private Optional<String> former(Instrument instrument, String boot) {
    return Optional.ofNullable(notes.get(BOOT + identity(instrument)))
        .filter(former -> instrument.identified() && !former.equals(boot));
  }

  private void forgetIfTooMany() {
    if (notes.keySet().stream().filter(note -> note.startsWith(LIFE)).count() >= MOST_NOTES) {
      notes.keySet().removeIf(note -> note.startsWith(LIFE));
    }
  }

  private long number(String note) {
    return Long.parseLong(notes.getOrDefault(note, "0"));
  }

  private static String identity(Instrument instrument) {
    return String.join("\n", instrument.maker(), instrument.model(), instrument.serial());
  }
}
