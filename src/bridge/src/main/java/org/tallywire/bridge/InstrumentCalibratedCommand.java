package org.tallywire.bridge;

import java.time.Instant;
import java.time.LocalDate;
import java.time.ZoneOffset;
import java.util.ArrayList;
import java.util.List;
import java.util.concurrent.Callable;
import org.jspecify.annotations.Nullable;
import org.tallywire.api.Instrument;
import org.tallywire.format.FormatException;
import org.tallywire.format.SetupException;
import org.tallywire.journal.JournalException;
import org.tallywire.journal.JournalView;
import org.tallywire.testset.InstrumentEvent;
import org.tallywire.testset.InstrumentHistory;
import picocli.CommandLine.Command;
import picocli.CommandLine.Mixin;
import picocli.CommandLine.Option;

/** {@code tallywire instrument calibrated}. */
@Command(
    name = "calibrated",
    description = {
      "Writes that an instrument was calibrated elsewhere. On the day it is due it still counts (days"
          + " are those of UTC); readings of later days get that said in their verdicts. It also"
          + " ends a failed verification of an earlier day.",
      "Ends with 0 if it is written, else with 3."
    },
    mixinStandardHelpOptions = true)
final class InstrumentCalibratedCommand implements Callable<Integer> {

  @Mixin private BridgeArgument bridge = new BridgeArgument();

  @Option(
      names = "--serial",
      required = true,
      paramLabel = "SERIAL",
      description = "its serial number, as its readings have it")
  private String serial = "";

  @Option(names = "--maker", description = "its maker, if the journal does not know it yet")
  private @Nullable String maker;

  @Option(names = "--model", description = "its model, likewise")
  private @Nullable String model;

  @Option(names = "--station", paramLabel = "NAME", description = "its station, likewise")
  private @Nullable String station;

  @Option(
      names = "--certificate",
      required = true,
      paramLabel = "NUMBER",
      description = "number of the certificate")
  private String certificate = "";

  @Option(
      names = "--issuer",
      required = true,
      paramLabel = "NAME",
      description = "who calibrated it")
  private String issuer = "";

  @Option(
      names = "--on",
      required = true,
      paramLabel = "DATE",
      description = "the day of the calibration, such as 2026-02-01")
  private LocalDate on = LocalDate.EPOCH;

  @Option(
      names = "--due",
      required = true,
      paramLabel = "DATE",
      description = "the last day on which it counts")
  private LocalDate due = LocalDate.EPOCH;

  @Option(names = "--by", required = true, paramLabel = "NAME", description = "who writes it")
  private String by = "";

  @Override
  public Integer call() throws Exception {
    Instant now = Leaving.now();
    requireRight(now);
    InstrumentRecords.Known known = known();
    InstrumentEvent made =
        new InstrumentEvent.Calibrated(
            known.station(), now, by, known.instrument(), certificate, issuer, on, due);
    return bridge.leave(
        Drafts.of(made),
        "The calibration of %s %s, serial %s, is written; it counts up to and with %s."
            .formatted(known.instrument().maker(), known.instrument().model(), serial, due));
  }

  private void requireRight(Instant now) throws SetupException {
    List<String> problems = new ArrayList<>();
    if (serial.isBlank() || certificate.isBlank() || issuer.isBlank() || by.isBlank()) {
      problems.add("--serial, --certificate, --issuer and --by are not to be empty");
    }
    if (due.isBefore(on)) {
      problems.add("--due: %s is before --on %s".formatted(due, on));
    }
    LocalDate today = now.atZone(ZoneOffset.UTC).toLocalDate();
    if (on.isAfter(today)) {
      problems.add("--on: %s is after today, %s".formatted(on, today));
    }
    if (!problems.isEmpty()) {
      throw new SetupException(problems);
    }
  }

  /** Returns the instrument with that serial number, and the other parts if they are given. */
  private InstrumentRecords.Known known() throws SetupException {
    List<InstrumentRecords.Known> found;
    try (JournalView journal = bridge.journal()) {
      found =
          InstrumentRecords.of(journal).find(serial).stream()
              .filter(one -> maker == null || one.instrument().maker().equals(maker))
              .filter(one -> model == null || one.instrument().model().equals(model))
              .toList();
    } catch (JournalException | FormatException e) {
      throw new SetupException("data: " + e.getMessage());
    }
    if (found.size() == 1) {
      return found.get(0);
    }
    if (found.size() > 1) {
      throw new SetupException(
          "--serial %s: several instruments have it (%s); say --maker and --model"
              .formatted(serial, String.join("; ", found.stream().map(this::name).toList())));
    }
    if (maker == null || model == null || station == null) {
      throw new SetupException(
          "--serial %s: the journal has no reading of such an instrument; check the number, or say"
                  .formatted(serial)
              + " --maker, --model and --station too");
    }
    return unknown(maker, model, station);
  }

  private InstrumentRecords.Known unknown(String maker, String model, String station)
      throws SetupException {
    if (!BridgeConfigFile.NAME.matcher(station).matches()) {
      throw new SetupException("--station: \"%s\" is no name of a station".formatted(station));
    }
    try {
      Instrument instrument = new Instrument(maker, model, serial, "");
      return new InstrumentRecords.Known(instrument, station, new InstrumentHistory(instrument));
    } catch (IllegalArgumentException e) {
      throw new SetupException(String.valueOf(e.getMessage()));
    }
  }

  private String name(InstrumentRecords.Known known) {
    return known.instrument().maker() + " " + known.instrument().model();
  }
}
