package org.tallywire.fault;

import static org.awaitility.Awaitility.await;
import static org.junit.jupiter.api.Assertions.assertEquals;
import static org.junit.jupiter.api.Assertions.assertTrue;

import java.io.IOException;
import java.io.OutputStream;
import java.nio.charset.StandardCharsets;
import java.nio.file.Files;
import java.nio.file.Path;
import java.time.Duration;
import java.util.ArrayList;
import java.util.Collections;
import java.util.List;
import java.util.Map;
import java.util.concurrent.TimeUnit;
import java.util.stream.Stream;
import org.awaitility.core.ConditionTimeoutException;
import org.tallywire.publish.Mosquitto;

/** Takes the figures of the speed benchmark, each with a broker and a subscriber of its own. */
final class SpeedBench {

  /** Those of the bridge and of the library alone. */
  static final List<String> JAVA =
      List.of("-XX:+UseSerialGC", "-XX:TieredStopAtLevel=4", "-Xmx64m");

  /** More for the bridge alone, as asked for on the command line. */
  static final List<String> MORE_JAVA =
      Stream.of(System.getProperty("tallywire.speed.java", "").split(" ", -1))
          .filter(option -> !option.isEmpty())
          .toList();

  private static final Duration LIMIT = Duration.ofSeconds(90);
  private static final int SMALLEST_ROUND = 60;
  private static final int LARGEST_WARMING_ROUND = 10_000;
  private static final int WARM_READINGS = 20_000;

  /**
   * How large it is.
   *
   * @param warm seconds of the same work before anything is measured
   * @param measured seconds of a measurement, about
   * @param stations of the bridge in the measurements of speed
   */
  record Size(double warm, double measured, int stations) {

    /** Options of Java; what is soon over is left as tests run their programs. */
    List<String> java() {
      return warm > 0 ? JAVA : List.of("-XX:TieredStopAtLevel=1");
    }
  }

  /**
   * What was measured.
   *
   * @param readings a second, to the arrival of the last one; of what has no readings, messages
   * @param messages a second that a subscriber got, to the arrival of the last of all
   * @param messagesEach messages that came of one reading
   * @param cost of the process that publishes, while these readings went through
   * @param count how many readings these were
   * @param late from the last byte of a reading to the subscriber, seconds, sorted; empty if not
   *     measured
   * @param resident bytes of the process that publishes, at the end
   * @param load of the machine, the mean of the minute before
   */
  record Figure(
      double readings,
      double messages,
      double messagesEach,
      Cost cost,
      long count,
      List<Double> late,
      long resident,
      double load) {

    double microsEach() {
      return 1e6 * cost.seconds() / count;
    }
  }

  private final Path folder;
  private final Size size;
  private final long seed;
  private List<Packet> recorded = List.of();
  private double meanBytes;

  SpeedBench(Path folder, Size size, long seed) {
    this.folder = folder;
    this.size = size;
    this.seed = seed;
  }

  /** Returns the bytes of the mean message of the judged readings, topic and payload together. */
  double meanBytes() {
    return meanBytes;
  }

  /** Measures the bridge, whose messages the library alone sends later. */
  Figure bridge(String name, boolean judged, int rate, double seconds) throws Exception {
    Path home = Files.createDirectories(folder.resolve(name));
    try (Mosquitto broker = Mosquitto.start(home, Mosquitto.freePort());
        Arrivals arrivals = new Arrivals(broker.port());
        Feeder feeder = Feeder.start(home.resolve("ports"), size.stations(), seed);
        Program bridge = program(home, feeder, size.stations(), broker.port(), judged)) {
      bridge.start();
      Figure figure;
      try {
        figure = measure(feeder, arrivals, bridge.pid(), rate, seconds);
      } catch (ConditionTimeoutException e) {
        throw new AssertionError(
            "of %d readings %d came; the feeder said \"%s\", the bridge%n%s"
                .formatted(
                    feeder.given(), arrivals.readings(), feeder.remarks(), bridge.lastLines()),
            e);
      }
      if (judged && recorded.isEmpty()) {
        recorded = arrivals.kept();
        meanBytes = arrivals.meanBytes();
      }
      bridge.stop();
      return figure;
    }
  }

  /** Measures the plain script, which has one port. */
  Figure script(String name, int rate, double seconds) throws Exception {
    Path home = Files.createDirectories(folder.resolve(name));
    Process script = null;
    try (Mosquitto broker = Mosquitto.start(home, Mosquitto.freePort());
        Arrivals arrivals = new Arrivals(broker.port());
        Feeder feeder = Feeder.startTalkOnly(home.resolve("ports"), seed)) {
      script =
          new ProcessBuilder(
                  Feeder.PYTHON,
                  "-B",
                  Feeder.script("plain_script.py"),
                  feeder.port(1).toString(),
                  Integer.toString(broker.port()))
              .redirectError(home.resolve("remarks").toFile())
              .start();
      assertEquals("ready", script.inputReader().readLine(), () -> text(home.resolve("remarks")));
      return measure(feeder, arrivals, script.pid(), rate, seconds);
    } finally {
      if (script != null) {
        script.destroyForcibly();
      }
    }
  }

  /** Measures the MQTT library alone with the messages that the bridge sent. */
  Figure library() throws Exception {
    Path home = Files.createDirectories(folder.resolve("library"));
    Path file = home.resolve("messages");
    try (OutputStream out = Files.newOutputStream(file)) {
      for (Packet packet : recorded) {
        out.write(packet.bytes());
      }
    }
    double load = load();
    try (Mosquitto broker = Mosquitto.start(home, Mosquitto.freePort());
        Arrivals arrivals = new Arrivals(broker.port())) {
      List<String> command = new ArrayList<>(List.of(Program.java()));
      command.addAll(size.java());
      command.addAll(
          List.of(
              "-cp",
              System.getProperty("java.class.path"),
              ClientAlone.class.getName(),
              Integer.toString(broker.port()),
              file.toString(),
              Double.toString(size.warm()),
              Double.toString(size.measured())));
      String[] said = output(command, home.resolve("remarks")).split(" ", -1);
      double rate = Long.parseLong(said[0]) / Double.parseDouble(said[1]);
      Cost cost = new Cost(Double.parseDouble(said[2]), Map.of());
      assertTrue(arrivals.messages() > 0, "the subscriber got nothing of the library's messages");
      return new Figure(rate, rate, 1, cost, Long.parseLong(said[0]), List.of(), 0, load);
    }
  }

  /** Measures {@code mosquitto_pub -l} with lines as instruments say them. */
  Figure lines(int count) throws Exception {
    Path home = Files.createDirectories(folder.resolve("lines"));
    Path file = home.resolve("lines");
    List<String> raw = recorded.stream().map(Packet::payload).flatMap(SpeedBench::raw).toList();
    List<String> lines = new ArrayList<>();
    for (int i = 0; i < count; i++) {
      lines.add(raw.get(i % raw.size()));
    }
    Files.write(file, lines);
    double load = load();
    try (Mosquitto broker = Mosquitto.start(home, Mosquitto.freePort());
        Arrivals arrivals = new Arrivals(broker.port())) {
      String shell =
          "time mosquitto_pub -p %d -q 1 -t lines -l < %s".formatted(broker.port(), file);
      long begun = System.nanoTime();
      output(List.of("/bin/bash", "-c", "TIMEFORMAT='%U %S'; " + shell), home.resolve("time"));
      double seconds = (System.nanoTime() - begun) / 1e9; // it ends at the last acknowledgement
      assertTrue(arrivals.messages() > 0, "the subscriber got nothing of the lines");
      String[] spent = text(home.resolve("time")).strip().split(" ", -1);
      double cost = Double.parseDouble(spent[0]) + Double.parseDouble(spent[1]);
      double rate = count / seconds;
      return new Figure(rate, rate, 1, new Cost(cost, Map.of()), count, List.of(), 0, load);
    }
  }

  /** Returns the resident bytes of a bridge after a while with so many stations. */
  long resident(int stations, int rate, double seconds) throws Exception {
    Path home = Files.createDirectories(folder.resolve("stations-" + stations));
    try (Mosquitto broker = Mosquitto.start(home, Mosquitto.freePort());
        Arrivals arrivals = new Arrivals(broker.port());
        Feeder feeder = Feeder.start(home.resolve("ports"), stations, seed);
        Program bridge = program(home, feeder, stations, broker.port(), true)) {
      bridge.start();
      feeder.feed((int) (rate * seconds), rate);
      awaitReadings(arrivals, feeder);
      long resident = new Vitals(bridge.pid()).resident();
      bridge.stop();
      return resident;
    }
  }

  private Program program(Path home, Feeder feeder, int stations, int port, boolean judged)
      throws IOException {
    StringBuilder text = new StringBuilder();
    text.append("site: invented\ndata: data\npage: {port: 0}\n");
    text.append("mqtt: {broker: \"tcp://127.0.0.1:%d\", client-id: speed}%n".formatted(port));
    text.append("stations:\n");
    for (int i = 1; i <= stations; i++) {
      text.append(
          "  station-%d: {driver: line, serial: {port: %s, baud: 921600}}%n"
              .formatted(i, feeder.port(i)));
    }
    if (judged) {
      text.append("test-sets:\n");
      for (int i = 1; i <= stations; i++) {
        // with two tests that never come, so that it stays open and judging goes on
        text.append(
            "  - {id: set-%d, nameplate: plate.yaml, stations: [station-%d], criteria: insulation-oil, tests: [turns-ratio, winding-resistance, insulation-resistance]}%n"
                .formatted(i, i));
      }
    }
    Files.writeString(home.resolve("tallywire.yaml"), text);
    Files.writeString(home.resolve("plate.yaml"), Instruments.plate());
    List<String> options = new ArrayList<>(size.java());
    options.addAll(MORE_JAVA);
    return new Program(home, options.toArray(String[]::new));
  }

  /** Warms up, then has readings go through and counts. */
  private Figure measure(Feeder feeder, Arrivals arrivals, long pid, int rate, double seconds)
      throws Exception {
    long begin = System.nanoTime();
    double speed = round(feeder, arrivals, SMALLEST_ROUND, 0);
    while (!isWarm(feeder, (System.nanoTime() - begin) / 1e9)) {
      int next = (int) Math.min(speed, LARGEST_WARMING_ROUND);
      speed = round(feeder, arrivals, Math.max(SMALLEST_ROUND, next), 0);
    }
    int count = (int) Math.max(SMALLEST_ROUND, (rate == 0 ? speed : rate) * seconds);
    double load = load();
    int before = arrivals.readings();
    long messages = arrivals.messages();
    Cost cost = Cost.of(pid);
    long begun = System.nanoTime();
    double reached = round(feeder, arrivals, count, rate);
    Cost spent = Cost.of(pid).since(cost);
    double took = (arrivals.lastAt() - begun) / 1e9;
    assertEquals(feeder.given(), arrivals.different(), "readings that a subscriber got");
    return new Figure(
        reached,
        (arrivals.messages() - messages) / took,
        (arrivals.messages() - messages) / (double) count,
        spent,
        count,
        rate == 0 ? List.of() : late(arrivals.since(before), feeder.times()),
        new Vitals(pid).resident(),
        load);
  }

  /** Java compiles by count as well as by time; but there is an end to waiting for it. */
  private boolean isWarm(Feeder feeder, double seconds) {
    return size.warm() == 0
        || (seconds > size.warm() && feeder.given() > WARM_READINGS)
        || seconds > 2 * size.warm();
  }

  /** Has readings go through; returns how many a second went, to the last one's arrival. */
  private static double round(Feeder feeder, Arrivals arrivals, int count, int rate)
      throws Exception {
    long begun = feeder.feed(count, rate);
    awaitReadings(arrivals, feeder);
    List<Arrivals.Arrival> all = arrivals.since(arrivals.readings() - 1);
    // whatever else comes of them is work of this round, not of the next
    awaitRest(arrivals);
    return count / ((all.get(0).nanos() - begun) / 1e9);
  }

  private static List<Double> late(
      List<Arrivals.Arrival> arrivals, Map<Integer, List<Long>> written) {
    List<Double> late = new ArrayList<>();
    for (Arrivals.Arrival arrival : arrivals) {
      List<Long> times = written.getOrDefault(arrival.station(), List.of());
      late.add((arrival.nanos() - times.get((int) arrival.number() - 1)) / 1e9);
    }
    Collections.sort(late);
    return late;
  }

  private static void awaitReadings(Arrivals arrivals, Feeder feeder) {
    await()
        .atMost(LIMIT)
        .pollInterval(Duration.ofMillis(20))
        .until(() -> arrivals.readings() >= feeder.given());
  }

  /** Waits until half a second has passed in which nothing came. */
  private static void awaitRest(Arrivals arrivals) {
    await()
        .atMost(LIMIT)
        .pollInterval(Duration.ofMillis(20))
        .until(() -> System.nanoTime() - arrivals.lastAt() > TimeUnit.MILLISECONDS.toNanos(500));
  }

  private static Stream<String> raw(String payload) {
    int begin = payload.indexOf("!reading");
    int end = begin < 0 ? -1 : payload.indexOf('"', begin);
    return end < 0 ? Stream.empty() : Stream.of(payload.substring(begin, end));
  }

  private static String output(List<String> command, Path remarks) throws Exception {
    Process process = new ProcessBuilder(command).redirectError(remarks.toFile()).start();
    try {
      assertTrue(
          process.waitFor(LIMIT.toSeconds(), TimeUnit.SECONDS) && process.exitValue() == 0,
          () -> command + " failed: " + text(remarks));
      return new String(process.getInputStream().readAllBytes(), StandardCharsets.UTF_8).strip();
    } finally {
      process.destroyForcibly();
    }
  }

  static String text(Path file) {
    try {
      return Files.exists(file) ? Files.readString(file) : "";
    } catch (IOException e) {
      return e.toString();
    }
  }

  private static double load() {
    return Double.parseDouble(text(Path.of("/proc/loadavg")).split(" ", -1)[0]);
  }
}
