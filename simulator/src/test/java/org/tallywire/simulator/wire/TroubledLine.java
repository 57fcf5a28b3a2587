package org.tallywire.simulator.wire;

import java.io.IOException;
import java.nio.charset.StandardCharsets;
import java.time.Duration;
import java.util.ArrayList;
import java.util.Arrays;
import java.util.List;
import java.util.Optional;
import java.util.Random;
import org.tallywire.simulator.scenario.Fault;
import org.tallywire.simulator.scenario.Faults;
import org.tallywire.simulator.scenario.Planted;

/** A troubled wire over one in memory, with a bench time that is set by hand. */
final class TroubledLine {

  final RecordingWire below = new RecordingWire();
  final Faults faults;
  final List<String> ready = new ArrayList<>();
  final List<String> remarks = new ArrayList<>();
  final TroubledWire wire;
  private Duration now = Duration.ofMillis(1);

  TroubledLine(long seed, Planted... planted) throws IOException {
    faults = new Faults(List.of(planted));
    wire = new TroubledWire(below, faults, () -> now, new Random(seed), ready::add, remarks::add);
    wire.plugIn();
  }

  /** A fault that is there from the start for good. */
  static Planted always(Fault fault) {
    return new Planted(fault, Duration.ZERO, Optional.empty());
  }

  /** A fault that is there between two moments in milliseconds. */
  static Planted between(Fault fault, long from, long until) {
    return new Planted(fault, Duration.ofMillis(from), Optional.of(Duration.ofMillis(until)));
  }

  TroubledLine at(long millis) {
    now = Duration.ofMillis(millis);
    return this;
  }

  TroubledLine say(String words) throws IOException {
    return say(words.getBytes(StandardCharsets.ISO_8859_1));
  }

  TroubledLine say(byte[] bytes) throws IOException {
    wire.write(bytes, 0, bytes.length);
    return this;
  }

  /** Gives the instrument's side these bytes to read; returns what it reads. */
  byte[] hear(byte[] bytes) throws IOException {
    below.toBeRead.add(bytes);
    return listen();
  }

  byte[] listen() throws IOException {
    byte[] into = new byte[4096];
    return Arrays.copyOf(into, Math.max(0, wire.read(into, 0)));
  }

  /** Returns what went out and how the plug moved since the first plugging in. */
  List<String> events() {
    return below.events.subList(1, below.events.size());
  }
}
