package org.tallywire.simulator;

import static org.junit.jupiter.api.Assertions.assertTrue;

import java.util.List;
import java.util.concurrent.BlockingQueue;
import java.util.concurrent.CopyOnWriteArrayList;
import java.util.concurrent.LinkedBlockingQueue;
import java.util.concurrent.TimeUnit;
import picocli.CommandLine;

/** A fleet in this process, and what it tells. */
final class TestFleet implements Fleet.Announcer, AutoCloseable {

  private final BlockingQueue<String> addresses = new LinkedBlockingQueue<>();
  private final List<String> announced = new CopyOnWriteArrayList<>();
  private final List<String> remarks = new CopyOnWriteArrayList<>();
  private final Fleet fleet;

  private TestFleet(Options options) {
    this.fleet = new Fleet(options, this);
  }

  static Options options(String... arguments) {
    Options options = new Options();
    new CommandLine(options).parseArgs(arguments);
    return options;
  }

  static TestFleet start(String... arguments) throws Exception {
    TestFleet started = new TestFleet(options(arguments));
    started.fleet.start();
    return started;
  }

  /** Returns the next address that an instrument is ready at. */
  String address() throws InterruptedException {
    String address = addresses.poll(60, TimeUnit.SECONDS);
    assertTrue(address != null, () -> "not ready: " + remarks);
    return address;
  }

  Console console() {
    return new Console(fleet.benches(), this);
  }

  List<Bench> benches() {
    return fleet.benches();
  }

  List<String> announced() {
    return List.copyOf(announced);
  }

  List<String> remarks() {
    return List.copyOf(remarks);
  }

  @Override
  public void announce(String what, String serial, String rest) {
    announced.add("%s %s %s".formatted(what, serial, rest));
    if (what.equals("ready")) {
      addresses.add(rest);
    }
  }

  @Override
  public void remark(String words) {
    remarks.add(words);
  }

  @Override
  public void close() {
    fleet.close();
  }
}
