package org.tallywire.fault;

import static org.awaitility.Awaitility.await;

import java.io.IOException;
import java.nio.file.Files;
import java.nio.file.Path;
import java.sql.SQLException;
import java.time.Duration;
import java.util.ArrayList;
import java.util.HashMap;
import java.util.HashSet;
import java.util.List;
import java.util.Map;
import java.util.Set;
import org.awaitility.core.ConditionTimeoutException;
import org.junit.jupiter.api.Assertions;
import org.tallywire.publish.Mosquitto;

/**
 * Everything that a fault is done to: instruments, a bridge, a gate, a real broker, a listener; all
 * of them processes of their own but gate and listener. Several faults may be done to it one after
 * the other; after each the instruments rest, everything gets through, and the oracle judges.
 */
final class Rig implements AutoCloseable {

  private static final Duration LONGEST_RECOVERY = Duration.ofSeconds(120);
  private static final Duration LONGEST_DRAIN = Duration.ofSeconds(90);

  private final Path folder;
  private final List<Instruments> instruments = new ArrayList<>();
  private final List<Program> bridges = new ArrayList<>();
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
  }

  /** Returns a rig with one bridge that is started, and so many instruments at work. */
  static Rig start(Path folder, int count, double pace) throws Exception {
    Rig rig = new Rig(folder);
    try {
      rig.add("one", Instruments.start(folder.resolve("instruments"), count, pace), "");
      rig.bridge().start();
      rig.recover(System.nanoTime());
      rig.recovery = Duration.ZERO;
      return rig;
    } catch (Exception | Error e) {
      rig.close();
      throw e;
    }
  }

  /**
   * Adds a bridge of that name with its instruments; it is not started.
   *
   * @param more lines of its configuration
   * @param options of the Java that runs it
   */
  void add(String name, Instruments of, String more, String... options) throws IOException {
    Path home = Files.createDirectories(folder.resolve(name));
    StringBuilder stations = new StringBuilder();
    for (int index = 0; index < of.count(); index++) {
      stations.append(
          "  %s-%d: {driver: line, serial: {port: %s, baud: 115200}}%n"
              .formatted(name, index + 1, of.port(index)));
    }
    Files.writeString(
        home.resolve("tallywire.yaml"),
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
    instruments.add(of);
    // five times shorter waits for the broker; one fault waits them out in full
    List<String> all = new ArrayList<>(List.of(options));
    all.add("-Dtallywire.hurry=5");
    bridges.add(new Program(home, all.toArray(String[]::new)));
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
    for (Program bridge : bridges) {
      bridge.stop();
    }
    report(fault, cycles, note, findings(kept(false)));
  }

  private void report(Fault fault, long cycles, String note, Findings all) {
    Set<String> known = new HashSet<>(before.wrong());
    Findings found =
        new Findings(
            all.readings() - before.readings(),
            all.lost() - before.lost(),
            all.doubled() - before.doubled(),
            all.declared() - before.declared(),
            all.untold() - before.untold(),
            all.wrong().stream().filter(sentence -> !known.contains(sentence)).toList());
    before = all;
    String more = found.untold() == 0 ? "" : "; %d gone untold".formatted(found.untold());
    Report.add(Report.Row.of(fault, cycles, found, recovery, note + more));
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

  private List<Told> kept(boolean beside) throws Exception {
    List<Told> all = new ArrayList<>();
    for (int i = 0; i < bridges.size(); i++) {
      all.addAll(beside ? Kept.beside(data(i)) : Kept.after(data(i)));
    }
    return all;
  }

  private Path data(int bridge) {
    return folder.resolve(List.of("one", "two").get(bridge)).resolve("data");
  }

  /** Waits until all that the instruments can still give is journalled, and all of that heard. */
  private void drain() throws IOException {
    try {
      await()
          .atMost(LONGEST_DRAIN)
          .pollInterval(Duration.ofMillis(200))
          .until(() -> areAllHeard() && isAllTold());
    } catch (ConditionTimeoutException e) {
      System.out.printf("not everything got through within %s%n", LONGEST_DRAIN);
    }
  }

  private boolean areAllHeard() throws SQLException {
    for (int i = 0; i < bridges.size(); i++) {
      List<String> ids = Kept.ids(data(i));
      if (!ids.stream().allMatch(listener::has)) {
        return false;
      }
    }
    return true;
  }

  /** Of an instrument's former lives nothing more can come, so its last one is looked at alone. */
  private boolean isAllTold() throws IOException, SQLException {
    Map<String, Taken> last = new HashMap<>();
    for (Instruments some : instruments) {
      some.taken().forEach(reading -> last.put(reading.serial(), reading));
    }
    Set<String> there = new HashSet<>();
    for (int i = 0; i < bridges.size(); i++) {
      for (Told told : Kept.beside(data(i))) {
        if (told.kind().equals("reading")) {
          String boot = told.json().path("sequence").path("epoch").asText();
          there.add(
              Taken.key(told.serial(), boot, told.json().path("sequence").path("number").asLong()));
        } else if (told.kind().equals("gap")) {
          String boot = told.json().path("epoch").asText();
          there.add(Taken.key(told.serial(), boot, told.json().path("to").asLong()));
        }
      }
    }
    return last.values().stream().allMatch(reading -> there.contains(reading.key()));
  }

  @Override
  public void close() throws Exception {
    bridges.forEach(Program::close);
    instruments.forEach(Instruments::close);
    listener.close();
    gate.close();
    broker.close();
  }
}
