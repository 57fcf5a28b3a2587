package org.tallywire.simulator;

import java.io.IOException;
import java.security.SecureRandom;
import java.time.InstantSource;
import java.util.ArrayList;
import java.util.List;
import java.util.Objects;
import java.util.Random;
import java.util.concurrent.CopyOnWriteArrayList;
import java.util.concurrent.CountDownLatch;
import org.tallywire.simulator.scenario.Planted;
import org.tallywire.simulator.scenario.ScenarioException;
import org.tallywire.simulator.wire.OpenLimit;
import org.tallywire.simulator.wire.OpenLimitException;
import org.tallywire.simulator.wire.PtyWire;
import org.tallywire.simulator.wire.SerialSettings;
import org.tallywire.simulator.wire.SerialWire;
import org.tallywire.simulator.wire.TcpWire;
import org.tallywire.simulator.wire.Wire;

/** All instruments of this process, each on a thread of its own. */
final class Fleet implements AutoCloseable {

  private static final long CLOSE_MILLIS = 3000;
  private static final int METER_BAUD = 300;
  private static final long STACK_BYTES = 256 * 1024;

  /** Classes, libraries and streams: 13 were measured on Linux; more while it loads. */
  private static final int FILES_OF_THE_PROGRAM = 50;

  private final Options options;
  private final Announcer announcer;
  private final Random bootIds = new SecureRandom();
  private final List<Member> members = new CopyOnWriteArrayList<>();
  private final TakenFile taken;
  private final CountDownLatch begin = new CountDownLatch(1);
  private volatile boolean stopping;

  /** Tells programs and people what goes on; called from several threads. */
  interface Announcer {

    /** Says one thing of an instrument in a line for programs: a word, its serial, the rest. */
    void announce(String what, String serial, String rest);

    /** Says a sentence to people. */
    void remark(String words);
  }

  private record Member(Bench bench, Wire wire, Thread thread) {}

  /** A fleet that has not been started. */
  Fleet(Options options, Announcer announcer) {
    this.options = options;
    this.announcer = announcer;
    this.taken = new TakenFile(options.taken);
  }

  /**
   * Starts all or none: every wire is opened and every thread started before anything is announced,
   * and no instrument lives before all are.
   *
   * @throws IOException with a sentence for people that says which cannot be started
   */
  void start() throws ScenarioException, IOException {
    int filesEach = options.onPty() ? PtyWire.FILES_EACH : TcpWire.FILES_EACH;
    OpenLimit.require(options.instruments, filesEach, FILES_OF_THE_PROGRAM);
    taken.open();
    List<Member> opened = new ArrayList<>();
    int running = 0;
    try {
      while (opened.size() < options.instruments && !stopping) {
        opened.add(open(opened.size()));
      }
      while (running < opened.size() && !stopping) {
        opened.get(running).thread().start();
        members.add(opened.get(running++));
      }
    } catch (IOException | LinkageError | OutOfMemoryError failed) {
      stopping = true;
      int number = (opened.size() < options.instruments ? opened.size() : running) + 1;
      throw new IOException(refusal(number, failed), failed);
    } finally {
      opened.subList(running, opened.size()).forEach(member -> member.wire().close());
    }
    if (!stopping) {
      members.forEach(this::announce);
    }
    begin.countDown();
  }

  /** Where files have run out, TCP would be no better: it takes more of them. */
  private String refusal(int number, Throwable failed) {
    boolean tcpHelps = options.onPty() && !(failed instanceof OpenLimitException);
    return "nothing is started: instrument %d cannot be: %s%s"
        .formatted(
            number,
            Objects.requireNonNullElseGet(failed.getMessage(), failed::toString),
            tcpHelps ? "; --tcp works without pseudo-terminals" : "");
  }

  /** Puts an instrument together and opens its wire; its thread is not started. */
  private Member open(int index) throws ScenarioException, IOException {
    Bench bench =
        Bench.of(options, index, System::nanoTime, InstantSource.system(), announcer::remark);
    Wire wire =
        bench.troubled(
            wire(bench, index), address -> announcer.announce("ready", bench.serial(), address));
    Instrument instrument = bench.instrument(wire, bootIds, taken);
    Thread thread =
        new Thread(
            null, () -> live(bench, instrument, wire), "instrument-" + bench.serial(), STACK_BYTES);
    thread.setDaemon(true);
    wire.plugIn();
    return new Member(bench, wire, thread);
  }

  private void announce(Member member) {
    Bench bench = member.bench();
    for (Planted planted : bench.faults().all()) {
      announcer.announce("planted", bench.serial(), Console.inWords(planted));
    }
    announcer.announce("ready", bench.serial(), member.wire().address());
  }

  private Wire wire(Bench bench, int index) {
    if (options.place.serial != null) {
      return new SerialWire(settings(options.place.serial, bench), bench::remark);
    }
    Integer port = options.place.tcp;
    return port == null
        ? new PtyWire(
            options.link.map(
                path -> path.resolveSibling(path.getFileName() + options.suffix(index))))
        : new TcpWire(port == 0 ? 0 : port + index);
  }

  /** A meter by IEC 62056-21 says itself how fast. */
  private SerialSettings settings(String port, Bench bench) {
    return switch (bench.scenario().tester().language()) {
      case METER62056, METER62056_A -> SerialSettings.of(port, METER_BAUD, "7E1");
      default -> SerialSettings.of(port, options.baud, "8N1");
    };
  }

  private void live(Bench bench, Instrument instrument, Wire wire) {
    try (wire) {
      begin.await();
      while (!stopping) {
        instrument.live();
      }
    } catch (InterruptedException interrupted) {
      Thread.currentThread().interrupt();
    } catch (IOException | RuntimeException failed) {
      bench.remark("has stopped, the others go on: " + failed);
      failed.printStackTrace();
    }
  }

  /** Returns the benches of all that have been started. */
  List<Bench> benches() {
    return members.stream().map(Member::bench).toList();
  }

  /** Stops all and waits for them, three seconds at most. */
  @Override
  public void close() {
    stopping = true;
    begin.countDown();
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
    taken.close();
  }
}
