package org.tallywire.simulator;

import java.io.IOException;
import java.nio.charset.StandardCharsets;
import java.time.Duration;
import java.time.Instant;
import java.util.ArrayDeque;
import java.util.List;
import java.util.Optional;
import java.util.Queue;
import java.util.Random;
import java.util.function.Consumer;
import org.tallywire.simulator.face.InstrumentFace;
import org.tallywire.simulator.face.InstrumentFace.Outgoing;
import org.tallywire.simulator.tester.Measurement;
import org.tallywire.simulator.wire.Wire;

/**
 * A test set at work: one thread that measures in its own time, talks through its face and moves
 * the bytes over its wire.
 */
final class Instrument implements AutoCloseable {

  private static final int READ_BYTES = 4096;
  private static final int LONGEST_WAIT_MILLIS = 100;
  private static final long CLOSE_MILLIS = 3000;
  private static final double NOISE_SHARE = 0.1;
  private static final int NOISE_BYTES = 20;

  private final InstrumentFace face;
  private final Wire wire;
  private final Habits habits;
  private final Consumer<String> ready;
  private final Consumer<String> remark;
  private final Queue<Measurement> toMeasure;
  private final Thread thread;
  private volatile boolean stopping;

  private boolean running;
  private long measuredAt;
  private boolean sentBefore;
  private boolean pulled;
  private long replugAt;

  /**
   * How it behaves.
   *
   * @param pace how many times faster than in real life it measures
   * @param startNow whether it measures at once, not only after it was first asked for readings
   * @param noise makes random bytes before the first line and now and then between lines
   * @param unplugAfter the reading in whose line the cable is pulled out, 0 for none
   * @param unplugged how long the cable stays out
   */
  record Habits(
      double pace,
      boolean startNow,
      Optional<Random> noise,
      long unplugAfter,
      Duration unplugged) {}

  /**
   * An instrument that is not switched on yet.
   *
   * @param run what it will measure, in order
   * @param ready takes the wire's address each time that it is plugged in
   * @param remark takes sentences for people
   */
  Instrument(
      String serial,
      InstrumentFace face,
      Wire wire,
      List<Measurement> run,
      Habits habits,
      Consumer<String> ready,
      Consumer<String> remark) {
    this.face = face;
    this.wire = wire;
    this.habits = habits;
    this.ready = ready;
    this.remark = remark;
    this.toMeasure = new ArrayDeque<>(run);
    this.thread = new Thread(this::live, "instrument-" + serial);
    this.thread.setDaemon(true);
  }

  /** Plugs it in and switches it on. */
  void start() throws IOException {
    wire.plugIn();
    ready.accept(wire.address());
    thread.start();
  }

  /** Asks it to stop, without waiting. */
  void stop() {
    stopping = true;
  }

  @Override
  public void close() {
    stop();
    try {
      thread.join(CLOSE_MILLIS);
      if (thread.isAlive()) {
        remark.accept("did not stop within %d ms and is left".formatted(CLOSE_MILLIS));
      }
    } catch (InterruptedException interrupted) {
      Thread.currentThread().interrupt();
    }
  }

  private void live() {
    byte[] buffer = new byte[READ_BYTES];
    try (wire) {
      face.powerUp(System.nanoTime());
      while (!stopping) {
        live(buffer);
      }
    } catch (IOException | RuntimeException failed) {
      remark.accept("has stopped, the others go on: " + failed);
      failed.printStackTrace();
    }
  }

  private void live(byte[] buffer) throws IOException {
    measure();
    replug();
    long now = System.nanoTime();
    Optional<Outgoing> outgoing = wire.attached() ? face.next(now) : Optional.empty();
    if (outgoing.isPresent()) {
      send(outgoing.get());
    }
    int count = wire.read(buffer, outgoing.isPresent() ? 0 : waitMillis(now));
    if (count > 0) {
      face.received(buffer, count, System.nanoTime());
    } else if (count < 0) {
      face.linkLost();
    }
  }

  private int waitMillis(long now) {
    long nanos = face.untilNext(now);
    if (running && !toMeasure.isEmpty()) {
      nanos = Math.min(nanos, Math.max(0, measuredAt - now));
    }
    return (int) Math.min(LONGEST_WAIT_MILLIS, nanos / 1_000_000 + 1);
  }

  private void measure() {
    if (!running && (habits.startNow() || face.asked())) {
      running = true;
      measuredAt = System.nanoTime() + nanosOfNext();
    }
    while (running && !toMeasure.isEmpty() && System.nanoTime() - measuredAt >= 0) {
      face.measured(toMeasure.remove(), Instant.now(), measuredAt);
      measuredAt += nanosOfNext();
    }
  }

  private long nanosOfNext() {
    Measurement next = toMeasure.peek();
    return next == null ? 0 : (long) (next.seconds() * 1e9 / habits.pace());
  }

  private void replug() throws IOException {
    if (replugAt != 0 && System.nanoTime() - replugAt >= 0) {
      replugAt = 0;
      wire.plugIn();
      ready.accept(wire.address());
    }
  }

  private void send(Outgoing outgoing) throws IOException {
    byte[] bytes = outgoing.text().getBytes(StandardCharsets.US_ASCII);
    makeNoise();
    if (!pulled && habits.unplugAfter() != 0 && outgoing.seq() == habits.unplugAfter()) {
      pulled = true;
      wire.write(bytes, 0, bytes.length / 2);
      wire.unplug();
      replugAt = System.nanoTime() + habits.unplugged().toNanos();
      remark.accept("the cable is pulled out in the middle of reading " + outgoing.seq());
      return;
    }
    wire.write(bytes, 0, bytes.length);
  }

  private void makeNoise() throws IOException {
    if (habits.noise().isEmpty()) {
      return;
    }
    Random random = habits.noise().get();
    if (!sentBefore || random.nextDouble() < NOISE_SHARE) {
      sentBefore = true;
      byte[] noise = new byte[1 + random.nextInt(NOISE_BYTES)];
      random.nextBytes(noise);
      wire.write(noise, 0, noise.length);
    }
  }
}
