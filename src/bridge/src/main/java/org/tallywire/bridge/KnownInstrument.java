package org.tallywire.bridge;

import java.util.HashMap;
import java.util.Map;
import java.util.Optional;
import org.tallywire.api.Instrument;

/**
 * Which instrument a station had last, so that it is noticed when another one has taken its place
 * on the bench. Used by one thread at a time.
 */
final class KnownInstrument {

  private final Optional<String> only;

  /** By the address on the line, which is empty where there is one instrument. */
  private final Map<String, Instrument> before = new HashMap<>();

  /**
   * Knows none yet.
   *
   * @param only the one serial number that the station is set to, if it is
   */
  KnownInstrument(Optional<String> only) {
    this.only = only;
  }

  /** Takes the instrument that an earlier run of the bridge had here. */
  void recall(Instrument instrument) {
    before.put("", instrument);
  }

  /** Says why no reading may be taken from an instrument, if so; it is then not remembered. */
  Optional<String> refusal(Instrument now) {
    return only.filter(serial -> !serial.equals(now.serial()))
        .map(
            serial ->
                ("the instrument here has %s, and this station is set to serial %s alone"
                        + " (\"instrument\" in the configuration); connect that one, or change the"
                        + " configuration")
                    .formatted(serialOf(now), serial));
  }

  /** Remembers an instrument; says what is new about it, if anything is. */
  Optional<String> meet(String address, Instrument now) {
    Instrument last = before.put(address, now);
    if (last == null || isTheSameBeforeItSaidItsSerial(last, now)) {
      return Optional.empty();
    }
    boolean sameKind = last.maker().equals(now.maker()) && last.model().equals(now.model());
    if (!sameKind || !last.serial().equals(now.serial())) {
      return Optional.of(
          "another instrument than before: %s was replaced by %s"
              .formatted(name(last, sameKind), name(now, sameKind)));
    }
    return last.firmware().equals(now.firmware())
        ? Optional.empty()
        : Optional.of(
            "the instrument, %s, has other firmware than before: %s was replaced by %s"
                .formatted(serialOf(now), last.firmware(), now.firmware()));
  }

  /** A meter that only talks may say its serial number after its first readings. */
  private static boolean isTheSameBeforeItSaidItsSerial(Instrument last, Instrument now) {
    return !last.identified()
        && now.identified()
        && last.maker().equals(now.maker())
        && last.model().equals(now.model());
  }

  private static String name(Instrument instrument, boolean serialTells) {
    return serialTells
        ? serialOf(instrument)
        : "%s %s, %s".formatted(instrument.maker(), instrument.model(), serialOf(instrument));
  }

  private static String serialOf(Instrument instrument) {
    return instrument.identified() ? "serial " + instrument.serial() : "no serial number";
  }
}
