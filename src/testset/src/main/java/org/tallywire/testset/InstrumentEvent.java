package org.tallywire.testset;

import java.math.BigDecimal;
import java.time.Instant;
import java.time.LocalDate;
import java.util.List;
import java.util.Optional;
import org.tallywire.acceptance.Verdict;
import org.tallywire.api.Instrument;
import org.tallywire.api.Quantity;
import org.tallywire.api.RecordId;
import org.tallywire.api.Unit;

/** Something that says how right an instrument is. */
public sealed interface InstrumentEvent {

  /** Returns the station under which it is published. */
  String station();

  /** Returns when it happened. */
  Instant at();

  /** Returns the person who did it. */
  String by();

  /** Returns the instrument, which has a serial number. */
  Instrument instrument();

  /** Returns the identity of its record. */
  String id();

  /**
   * It was held against a reference standard.
   *
   * @param standard name of the standard
   * @param standardSerial its serial number
   * @param expected what the standard has, in the unit
   * @param measured what the instrument showed, if it showed a number
   * @param deviation measured from expected, in the unit of the limit
   * @param limit that the deviation is held against
   * @param limitUnit of deviation, limit and uncertainty
   * @param uncertainty expanded, for a level of confidence of 95.45 %
   * @param readings ids of the readings it rests on
   * @param sentence what came of it
   */
  record Verified(
      String station,
      Instant at,
      String by,
      Instrument instrument,
      String standard,
      String standardSerial,
      Quantity quantity,
      Unit unit,
      BigDecimal expected,
      Optional<BigDecimal> measured,
      Optional<BigDecimal> deviation,
      BigDecimal limit,
      Unit limitUnit,
      BigDecimal uncertainty,
      Verdict.State state,
      List<String> readings,
      String sentence)
      implements InstrumentEvent {

    public Verified {
      readings = List.copyOf(readings);
    }

    @Override
    public String id() {
      return RecordId.derived(
          "verification",
          instrument.serial(),
          standard,
          standardSerial,
          at.toString(),
          String.join(" ", readings));
    }
  }

  /**
   * It was calibrated elsewhere.
   *
   * @param certificate its number
   * @param issuer who calibrated it
   * @param calibratedOn the day of the calibration
   * @param due the last day on which the calibration counts
   */
  record Calibrated(
      String station,
      Instant at,
      String by,
      Instrument instrument,
      String certificate,
      String issuer,
      LocalDate calibratedOn,
      LocalDate due)
      implements InstrumentEvent {

    public Calibrated {
      if (due.isBefore(calibratedOn)) {
        throw new IllegalArgumentException(
            "the calibration of %s is due on %s, before it was made on %s"
                .formatted(instrument.serial(), due, calibratedOn));
      }
    }

    @Override
    public String id() {
      return RecordId.derived("calibration", instrument.serial(), certificate, at.toString());
    }
  }
}
