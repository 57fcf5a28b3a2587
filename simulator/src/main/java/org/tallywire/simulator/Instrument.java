package org.tallywire.simulator;

import java.io.IOException;
import java.nio.charset.StandardCharsets;
import java.time.Duration;
import java.util.Collections;
import java.util.IdentityHashMap;
import java.util.Optional;
import java.util.Set;
import java.util.function.Consumer;
import java.util.function.IntFunction;
import org.jspecify.annotations.Nullable;
import org.tallywire.simulator.face.InstrumentFace;
import org.tallywire.simulator.face.InstrumentFace.Outgoing;
import org.tallywire.simulator.scenario.FaultText;
import org.tallywire.simulator.scenario.Faults;
import org.tallywire.simulator.scenario.LineFault.Reboot;
import org.tallywire.simulator.scenario.LineFault.Unplug;
import org.tallywire.simulator.scenario.Planted;
import org.tallywire.simulator.tester.Measurement;
import org.tallywire.simulator.tester.TestRun;
import org.tallywire.simulator.wire.Wire;

/**
 * A test set at work: it measures in bench time, talks through its face and moves the bytes over
 * its wire. It has no thread of its own: somebody calls {@link #live} again and again.
 */
final class Instrument {

  private static final int READ_BYTES = 4096;
  private static final int LONGEST_WAIT_MILLIS = 250;
  private static final long NANOS_PER_MILLI = 1_000_000;

  private final IntFunction<InstrumentFace> faces;
  private final Wire wire;
  private final TestRun run;
  private final Faults faults;
  private final BenchTime bench;
  private final Habits habits;
  private final Consumer<String> remark;

  /** By identity: before measuring begins bench time stands, and two reboots can be equal. */
  private final Set<Planted> rebooted = Collections.newSetFromMap(new IdentityHashMap<>());

  private final byte[] buffer = new byte[READ_BYTES];

  private InstrumentFace face;
  private int boots;
  private boolean off = true;
  private long onAt;
  private @Nullable Measurement measuring;
  private boolean pulled;

  /**
   * How it behaves.
   *
   * @param startNow whether it measures at once, not only after it was first asked for readings
   * @param unplugAfter the reading in whose line the cable is pulled out, 0 for none
   * @param unplugged how long the cable then stays out, real time
   */
  record Habits(boolean startNow, long unplugAfter, Duration unplugged) {}

  /**
   * An instrument that is switched on when it first lives.
   *
   * @param faces makes its face at every power-up, 0 for the first
   * @param run what it will measure
   * @param faults what is planted; the wire knows it too
   * @param remark takes sentences for people
   */
  Instrument(
      IntFunction<InstrumentFace> faces,
      Wire wire,
      TestRun run,
      Faults faults,
      BenchTime bench,
      Habits habits,
      Consumer<String> remark) {
    this.faces = faces;
    this.face = faces.apply(0);
    this.wire = wire;
    this.run = run;
    this.faults = faults;
    this.bench = bench;
    this.habits = habits;
    this.remark = remark;
    this.onAt = bench.now();
  }

  /** Does what is due, and waits for bytes a quarter of a second at most. */
  void live() throws IOException {
    long now = bench.now();
    power(now);
    Optional<Outgoing> outgoing = off || !wire.attached() ? Optional.empty() : face.next(now);
    if (outgoing.isPresent()) {
      send(outgoing.get(), now);
    }
    measure(now);
    tune();
    int count = wire.read(buffer, outgoing.isPresent() ? 0 : waitMillis(now));
    if (off) {
      return;
    }
    if (count > 0) {
      face.received(buffer, count, bench.now());
    } else if (count < 0) {
      face.linkLost();
    }
  }

  /** Returns whether everything is measured. */
  boolean hasMeasured() {
    return run.over() && measuring == null;
  }

  private int waitMillis(long now) {
    long nanos = off ? onAt - now : face.untilNext(now);
    if (measuring != null && !bench.paused()) {
      nanos = Math.min(nanos, bench.moment(run.elapsed()) - now);
    }
    return (int) Math.min(LONGEST_WAIT_MILLIS, Math.max(0, nanos) / NANOS_PER_MILLI + 1);
  }

  /** Switches it on, and off and on again where a reboot is planted; its store is then empty. */
  private void power(long now) {
    if (off && now - onAt >= 0) {
      off = false;
      face.powerUp(now);
    }
    for (Planted planted : faults.planted(Reboot.class, bench.at(now))) {
      if (rebooted.add(planted) && planted.fault() instanceof Reboot reboot) {
        off = true;
        onAt = now + bench.real(reboot.off());
        face = faces.apply(++boots);
        remark.accept(
            "is switched off, and on again after %s of bench time"
                .formatted(FaultText.inWords(reboot.off())));
      }
    }
  }

  /** At most one reading at a time, so that answers do not wait for a bench that is in a hurry. */
  private void measure(long now) {
    if (!off && (habits.startNow() || face.asked())) {
      bench.begin(now);
    }
    if (off || !bench.begun() || bench.paused()) {
      return;
    }
    if (measuring != null && now - bench.moment(run.elapsed()) >= 0) {
      face.measured(measuring, bench.instant(run.elapsed()), bench.moment(run.elapsed()));
      measuring = null;
      if (run.over()) {
        tellNeverMeasured();
      }
    }
    if (measuring == null && !run.over()) {
      measuring = run.next();
    }
  }

  private void tellNeverMeasured() {
    for (Planted planted : run.neverMeasured()) {
      remark.accept(
          "everything is measured, and nothing was while this was there: "
              + FaultText.inWords(planted.fault()));
    }
  }

  /** Lets the wire go at the speed that its face has now. */
  private void tune() {
    if (face.baud() != 0) {
      wire.speed(face.baud());
    }
  }

  private void send(Outgoing outgoing, long now) throws IOException {
    if (!pulled && habits.unplugAfter() != 0 && outgoing.seq() == habits.unplugAfter()) {
      pulled = true;
      Duration at = bench.at(now);
      Duration until = at.plus(bench.bench(habits.unplugged()));
      faults.plant(new Planted(new Unplug(), at, Optional.of(until)));
    }
    tune();
    byte[] bytes = outgoing.text().getBytes(StandardCharsets.US_ASCII);
    wire.write(bytes, 0, bytes.length);
  }
}
