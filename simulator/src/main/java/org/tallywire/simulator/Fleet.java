package org.tallywire.simulator;

import java.io.IOException;
import java.security.SecureRandom;
import java.time.InstantSource;
import java.util.List;
import java.util.Random;
import java.util.concurrent.CopyOnWriteArrayList;
import java.util.function.Consumer;
import org.tallywire.simulator.scenario.Planted;
import org.tallywire.simulator.scenario.ScenarioException;
import org.tallywire.simulator.wire.OpenLimit;
import org.tallywire.simulator.wire.PtyWire;
import org.tallywire.simulator.wire.SerialSettings;
import org.tallywire.simulator.wire.SerialWire;
import org.tallywire.simulator.wire.TcpWire;
import org.tallywire.simulator.wire.Wire;

/** All instruments of this process, each on a thread of its own. */
final class Fleet implements AutoCloseable {

  private static final long CLOSE_MILLIS = 3000;
  private static final long STACK_BYTES = 256 * 1024;

  /** Classes, libraries and streams: 13 were measured on Linux; more while it loads. */
  private static final int FILES_OF_THE_PROGRAM = 50;

  private final Options options;
  private final Announcer announcer;
  private final Random bootIds = new SecureRandom();
  private final List<Member> members = new CopyOnWriteArrayList<>();
  private volatile boolean stopping;

  /** Tells programs and people what goes on; called from several threads. */
  interface Announcer {

    /** Says one thing of an instrument in a line for programs: a word, its serial, the rest. */
    void announce(String what, String serial, String rest);

    /** Says a sentence to people. */
    void remark(String words);
  }

  private record Member(Bench bench, Thread thread) {}

  /** A fleet that has not been started. */
  Fleet(Options options, Announcer announcer) {
    this.options = options;
    this.announcer = announcer;
  }

  /** Starts all; if one cannot be started, those before it go on until {@link #close}. */
  void start() throws ScenarioException, IOException {
    int filesEach = options.onPty() ? PtyWire.FILES_EACH : TcpWire.FILES_EACH;
    OpenLimit.require(options.instruments, filesEach, FILES_OF_THE_PROGRAM);
    for (int index = 0; index < options.instruments && !stopping; index++) {
      Bench bench =
          Bench.of(options, index, System::nanoTime, InstantSource.system(), announcer::remark);
      for (Planted planted : bench.faults().all()) {
        announcer.announce("planted", bench.serial(), Console.inWords(planted));
      }
      start(bench, index);
    }
  }

  private void start(Bench bench, int index) throws IOException {
    Consumer<String> ready = address -> announcer.announce("ready", bench.serial(), address);
    Wire wire = bench.troubled(wire(bench, index), ready);
    Instrument instrument = bench.instrument(wire, bootIds);
    Thread thread =
        new Thread(
            null, () -> live(bench, instrument, wire), "instrument-" + bench.serial(), STACK_BYTES);
    thread.setDaemon(true);
    boolean started = false;
    try {
      wire.plugIn();
      thread.start();
      started = true;
    } finally {
      if (!started) {
        wire.close();
      }
    }
    members.add(new Member(bench, thread));
  }

  private Wire wire(Bench bench, int index) {
    if (options.place.serial != null) {
      return new SerialWire(
          SerialSettings.of(options.place.serial, options.baud, "8N1"), bench::remark);
    }
    Integer port = options.place.tcp;
    return port == null
        ? new PtyWire(
            options.link.map(
                path -> path.resolveSibling(path.getFileName() + options.suffix(index))))
        : new TcpWire(port == 0 ? 0 : port + index);
  }

  private void live(Bench bench, Instrument instrument, Wire wire) {
    try (wire) {
      while (!stopping) {
        instrument.live();
      }
    } catch (IOException | RuntimeException failed) {
      bench.remark("has stopped, the others go on: " + failed);
      failed.printStackTrace();
    }
  }

  /** Returns how many have been started. */
  int size() {
    return members.size();
  }

  /** Returns the benches of all that have been started. */
  List<Bench> benches() {
    return members.stream().map(Member::bench).toList();
  }

  /** Stops all and waits for them, three seconds at most. */
  @Override
  public void close() {
    stopping = true;
    long end = System.nanoTime() + CLOSE_MILLIS * 1_000_000;
    try {
      for (Member member : members) {
        member.thread().join(Math.max(1, (end - System.nanoTime()) / 1_000_000));
        if (member.thread().isAlive()) {
          member.bench().remark("did not stop within %d ms and is left".formatted(CLOSE_MILLIS));
        }
      }
    } catch (InterruptedException interrupted) {
      Thread.currentThread().interrupt();
    }
  }
}
