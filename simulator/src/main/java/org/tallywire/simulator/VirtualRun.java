package org.tallywire.simulator;

import java.io.IOException;
import java.io.OutputStream;
import java.time.Duration;
import java.time.Instant;
import java.time.InstantSource;
import java.util.List;
import java.util.Optional;
import java.util.function.Consumer;
import org.tallywire.simulator.scenario.Planted;
import org.tallywire.simulator.scenario.ScenarioException;
import org.tallywire.simulator.scenario.TesterPlan.Language;
import org.tallywire.simulator.wire.Wire;

/**
 * One bench from power-up to the end of its readings, in virtual time and without a real line: the
 * same options give the same bytes on every machine.
 */
final class VirtualRun {

  /** When virtual time begins, if the scenario does not say. */
  private static final Instant BEGIN = Instant.parse("2026-01-01T00:00:00Z");

  /** So long it goes on after the last reading and the last fault, so that repeats are heard. */
  private static final Duration AFTERWARDS = Duration.ofSeconds(20);

  /** So long somebody tries to make it measure over a line that may let nothing through. */
  private static final Duration GIVEN_UP = Duration.ofHours(1);

  private VirtualRun() {}

  /** Writes every byte that the instrument says; remarks are for people. */
  static void write(Options options, OutputStream out, Consumer<String> remark)
      throws ScenarioException, IOException {
    Language language = Bench.scenario(options, 0).tester().language();
    VirtualWire line = new VirtualWire(out, listener(language));
    InstantSource wall = () -> BEGIN.plusNanos(line.getAsLong());
    Bench bench = Bench.of(options, 0, line, wall, remark);
    try (Wire wire = bench.troubled(line, address -> {});
        TakenFile taken = new TakenFile(options.taken)) {
      taken.open();
      Instrument instrument = bench.instrument(wire, bench.scenario().random("boot id"), taken);
      wire.plugIn();
      while (!instrument.hasMeasured()) {
        instrument.live();
        if (!bench.time().begun() && line.getAsLong() > GIVEN_UP.toNanos()) {
          throw new ScenarioException(
              List.of(
                  "in an hour of virtual time no request came through its line, so it measured"
                      + " nothing"));
        }
      }
      long end = line.getAsLong() + AFTERWARDS.toNanos();
      while (line.getAsLong() < Math.max(end, lastChange(bench))) {
        instrument.live();
      }
    }
  }

  private static Listener listener(Language language) {
    return switch (language) {
      case LINE -> new LineListener();
      case SCPI -> new ScpiListener();
      case TALK_ONLY -> Listener.SILENT;
      case METER62056, METER62056_A -> new MeterListener();
    };
  }

  /** Returns when the last fault that ends has ended, and some time after it has passed. */
  private static long lastChange(Bench bench) {
    return bench.faults().all().stream()
        .map(Planted::until)
        .flatMap(Optional::stream)
        .mapToLong(until -> bench.time().moment(until) + AFTERWARDS.toNanos())
        .max()
        .orElse(0);
  }
}
