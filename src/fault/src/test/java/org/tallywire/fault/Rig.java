package org.tallywire.fault;

import static org.awaitility.Awaitility.await;

import java.io.IOException;
import java.nio.file.Files;
import java.nio.file.Path;
import java.time.Duration;
import java.util.ArrayList;
import java.util.HashMap;
import java.util.HashSet;
import java.util.List;
import java.util.Map;
import java.util.Set;
import org.awaitility.core.ConditionTimeoutException;
import org.junit.jupiter.api.Assertions;
import org.tallywire.journal.JournalException;
import org.tallywire.publish.Mosquitto;

/**
 * Everything that a fault is done to: instruments, a bridge, a gate, a real broker, a listener; all
 * of them processes of their own but gate and listener. Several faults may be done to it one after
 * the other; after each the instruments rest, everything gets through, and the oracle judges.
 */
final class Rig implements AutoCloseable {

  private static final Duration LONGEST_RECOVERY = Duration.ofMinutes(2);
  private static final Duration LONGEST_DRAIN = Duration.ofSeconds(90);

  private static final int LAST_STARTS = 3;

  private final Path folder;
  private final List<Instruments> instruments = new ArrayList<>();
  private final List<Program> bridges = new ArrayList<>();
  private final List<Kept> kept = new ArrayList<>();
  private final Listener listener = new Listener();
  private final Gate gate;
  private Mosquitto broker;
  private Findings before = new Findings(0, 0, 0, 0, 0, List.of());
  private Duration recovery = Duration.ZERO;

  /** A rig with a broker and a listener, nothing else yet. */
  Rig(Path folder) throws Exception {
    Mosquitto.require();
    this.folder = folder;
    broker = Mosquitto.start(folder, Mosquitto.freePort());
    listener.attach(broker.port());
    gate = new Gate(broker.port());
    Runtime.getRuntime().addShutdownHook(new Thread(this::kill, "kill all"));
  }

  /** Ends every process; also where the tests themselves are ended in mid run. */
  private void kill() {
    bridges.forEach(Program::close);
    broker.close();
  }

  /** Returns a rig with one bridge that is started, and so many instruments at work. */
  static Rig start(Path folder, int count, double pace) throws Exception {
    Rig rig = new Rig(folder);
    try {
      rig.add("one", Instruments.start(folder.resolve("instruments"), count, pace));
      rig.bridge().start();
      rig.recover(System.nanoTime());
      rig.recovery = Duration.ZERO;
      return rig;
    } catch (Exception | Error e) {
      rig.close();
      throw e;
    }
  }

  /** Adds a bridge of that name with its instruments; it is not started. */
  void add(String name, Instruments of) throws IOException {
    add(name, of, "");
  }

  /**
   * Adds a bridge of that name with its instruments; it is not started.
   *
   * @param more lines of its configuration
   * @param options of the Java that runs it
   */
  void add(String name, Instruments of, String more, String... options) throws IOException {
    Path home = Files.createDirectories(folder.resolve(name));
    instruments.add(of);
    kept.add(new Kept(home.resolve("data")));
    List<String> all = new ArrayList<>(List.of(options));
    // five times shorter waits for the broker
    all.add("-Dtallywire.hurry=5");
    bridges.add(new Program(home, all.toArray(String[]::new)));
    configure(bridges.size() - 1, more);
  }

  /** Has each instrument of the first bridge feed a new test set from its next start on. */
  void openTestSets(int round) throws IOException {
    StringBuilder sets = new StringBuilder("test-sets:\n");
    for (int station = 1; station <= instruments().count(); station++) {
      sets.append(
          "  - {id: set-%d-%d, nameplate: plate.yaml, stations: [station-1-%d]}%n"
              .formatted(round, station, station));
    }
    Files.writeString(bridge().folder().resolve("plate.yaml"), Instruments.plate());
    configure(0, sets.toString());
  }

  private void configure(int bridge, String more) throws IOException {
    Instruments of = instruments.get(bridge);
    StringBuilder stations = new StringBuilder();
    for (int index = 0; index < of.count(); index++) {
      stations.append(
          "  station-%d-%d: {driver: line, serial: {port: %s, baud: 115200}}%n"
              .formatted(bridge + 1, index + 1, of.port(index)));
    }
    Files.writeString(
        bridges.get(bridge).folder().resolve("tallywire.yaml"),
        """
        site: invented
        data: data
        mqtt:
          broker: tcp://127.0.0.1:%d
          client-id: bench
        page:
          port: 0
        stations:
        %s%s
        """
            .formatted(gate.port(), stations, more));
  }

  Program bridge() {
    return bridges.get(0);
  }

  List<Program> bridges() {
    return bridges;
  }

  Instruments instruments() {
    return instruments.get(0);
  }

  Listener listener() {
    return listener;
  }

  Gate gate() {
    return gate;
  }

  Mosquitto broker() {
    return broker;
  }

  /** Kills the broker and starts an empty one; nobody else is let in before the listener hears. */
  void restartBroker(long pauseMillis) throws Exception {
    gate.set(Gate.Trouble.REFUSING, 0);
    broker.kill();
    listener.awaitEnd();
    Pause.millis(pauseMillis);
    broker = Mosquitto.start(folder, Mosquitto.freePort());
    listener.attach(broker.port());
    gate.lead(broker.port());
    gate.set(Gate.Trouble.NONE, 0);
  }

  /** Waits for the first reading after the end of a fault to get through to the listener. */
  void recover(long end) throws IOException {
    try {
      await()
          .atMost(LONGEST_RECOVERY)
          .pollInterval(Duration.ofMillis(20))
          .until(() -> listener.firstReadingAfter(end) != 0);
    } catch (ConditionTimeoutException e) {
      throw new AssertionError(
          "no reading got through within %s of the end of the fault; the bridge says%n%s"
              .formatted(LONGEST_RECOVERY, bridge().lastLines()),
          e);
    }
    Duration took = Duration.ofNanos(listener.firstReadingAfter(end) - end);
    recovery = recovery.compareTo(took) < 0 ? took : recovery;
  }

  /** Waits until so many more different readings have got through, or it takes too long. */
  void awaitReadings(int more) {
    int target = listener.readings() + more;
    await().atMost(LONGEST_RECOVERY).until(() -> listener.readings() >= target);
  }

  /**
   * Has the instruments rest until everything is through, judges what came since the last time,
   * adds a row to the report, fails if anything was lost or doubled, and has them work again.
   */
  void judge(Fault fault, long cycles, String note) throws Exception {
    for (Instruments some : instruments) {
      some.pause();
    }
    drain();
    report(fault, cycles, note, findings(kept(true)));
    for (Instruments some : instruments) {
      some.resume();
    }
  }

  /** Judges for the last time, by the journal of bridges that were asked to stop. */
  void judgeAtTheEnd(Fault fault, long cycles, String note) throws Exception {
    for (Instruments some : instruments) {
      some.pause();
    }
    drain();
    stop();
    List<Told> all = kept(false);
    for (int again = 0; again < LAST_STARTS && !areAllHeard(all); again++) {
      // what the examination found in its last moments is sent by the next start
      for (Program bridge : bridges) {
        bridge.start();
      }
      drain();
      stop();
      all = kept(false);
    }
    report(fault, cycles, note, findings(all));
  }

  private void report(Fault fault, long cycles, String note, Findings sum) {
    Set<String> known = new HashSet<>(before.wrong());
    Findings found =
        new Findings(
            sum.readings() - before.readings(),
            sum.lost() - before.lost(),
            sum.doubled() - before.doubled(),
            sum.declared() - before.declared(),
            sum.untold() - before.untold(),
            sum.wrong().stream().filter(sentence -> !known.contains(sentence)).toList());
    before = sum;
    String more = found.untold() == 0 ? "" : "%d gone untold".formatted(found.untold());
    String all = note.isEmpty() || more.isEmpty() ? note + more : note + "; " + more;
    Report.add(Report.Row.of(fault, cycles, found, recovery, all));
    recovery = Duration.ZERO;
    Assertions.assertTrue(
        found.isSound(),
        () -> "%s: %s%n%s".formatted(fault, found, String.join("\n", found.wrong())));
  }

  private Findings findings(List<Told> journal) throws IOException {
    List<Taken> taken = new ArrayList<>();
    for (Instruments some : instruments) {
      taken.addAll(some.taken());
    }
    return Oracle.judge(taken, journal, listener.heard().stream().map(Told::of).toList());
  }

  private List<Told> kept(boolean beside) throws JournalException {
    List<Told> all = new ArrayList<>();
    for (Kept one : kept) {
      all.addAll(beside ? one.beside() : one.after());
    }
    return all;
  }

  /** Waits until all that the instruments can still give is journalled, and all of that heard. */
  private void drain() throws IOException {
    try {
      await()
          .atMost(LONGEST_DRAIN)
          .pollInterval(Duration.ofMillis(200))
          .until(() -> areAllHeard(kept(true)) && isAllTold());
    } catch (ConditionTimeoutException e) {
      System.out.printf("not everything got through within %s%n", LONGEST_DRAIN);
    }
  }

  private void stop() throws InterruptedException {
    for (Program bridge : bridges) {
      bridge.stop();
    }
  }

  private boolean areAllHeard(List<Told> all) {
    return all.stream().allMatch(told -> listener.has(told.id()));
  }

  /** Of an instrument's former lives nothing more can come, so its last one is looked at alone. */
  private boolean isAllTold() throws IOException {
    Map<String, Taken> last = new HashMap<>();
    for (Instruments some : instruments) {
      some.taken().forEach(reading -> last.put(reading.serial(), reading));
    }
    return last.values().stream()
        .allMatch(reading -> kept.stream().anyMatch(one -> one.covers(reading)));
  }

  @Override
  public void close() throws IOException {
    kill();
    for (Instruments some : instruments) {
      some.close();
    }
    listener.close();
    gate.close();
  }
}
