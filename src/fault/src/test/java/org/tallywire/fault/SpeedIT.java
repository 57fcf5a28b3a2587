package org.tallywire.fault;

import java.io.IOException;
import java.nio.ByteBuffer;
import java.nio.channels.FileChannel;
import java.nio.file.Files;
import java.nio.file.Path;
import java.nio.file.StandardOpenOption;
import java.util.ArrayList;
import java.util.Arrays;
import java.util.List;
import java.util.Locale;
import java.util.concurrent.TimeUnit;
import org.junit.jupiter.api.Assumptions;
import org.junit.jupiter.api.DisplayName;
import org.junit.jupiter.api.Test;
import org.junit.jupiter.api.io.TempDir;
import org.tallywire.fault.SpeedBench.Figure;
import org.tallywire.fault.SpeedBench.Size;
import org.tallywire.publish.Mosquitto;

/**
 * The speed benchmark: recorded lines on pseudo-terminals through the packaged bridge and mosquitto
 * to a subscriber, beside what the MQTT library, {@code mosquitto_pub} and a plain script do on the
 * same machine in the same run. It checks that every reading arrives once; how fast is printed, and
 * judged by people. {@code tallywire.speed} is full for figures that mean something.
 */
class SpeedIT {

  private static final boolean FULL = "full".equals(System.getProperty("tallywire.speed"));
  private static final Path FILE = Path.of("target", "speed.md");
  private static final int RATE = 1_000;
  private static final int SYNCS = 500;

  @TempDir private Path folder;

  private final List<String> lines = new ArrayList<>();

  @Test
  @DisplayName("Every reading gets through once, and how fast")
  void speed() throws Exception {
    Mosquitto.require();
    Feeder.require(FULL);
    Assumptions.assumeTrue(Vitals.areSeen(), "needs /proc");
    long seed = Long.getLong("tallywire.seed", System.nanoTime() % 1_000_000_000);
    Size size = FULL ? new Size(15, 10, 8) : new Size(0, 0, 2);
    SpeedBench bench = new SpeedBench(folder, size, seed);
    System.out.printf("speed: %s, seed %d%n", FULL ? "full" : "small", seed);
    Figure judged = bench.bridge("judged", true, 0, size.measured());
    Figure library = bench.library();
    if (FULL) {
      machine(seed, size);
      figures(bench, judged, library);
      Files.createDirectories(FILE.toAbsolutePath().getParent());
      Files.write(FILE, lines);
    }
  }

  private void figures(SpeedBench bench, Figure judged, Figure library) throws Exception {
    Figure recorded = bench.bridge("recorded", false, 0, 10);
    Figure paced = bench.bridge("paced", true, RATE, 10);
    Figure pacedRecorded = bench.bridge("paced-recorded", false, RATE, 10);
    Figure pub = bench.lines(50_000);
    Figure script = bench.script("script", 0, 10);
    Figure pacedScript = bench.script("script-paced", RATE, 10);
    head();
    row("bridge, recorded and judged", judged, library, script);
    row("bridge, recorded alone", recorded, library, script);
    row("bridge, judged, %d readings/s".formatted(RATE), paced, library, script);
    row("bridge, recorded, %d readings/s".formatted(RATE), pacedRecorded, library, script);
    row("(a) MQTT library alone, messages", library, library, script);
    row("(b) mosquitto_pub -l, lines", pub, library, script);
    row("(c) plain script", script, library, script);
    row("(c) plain script, %d readings/s".formatted(RATE), pacedScript, library, script);
    say("");
    say(
        "A judged reading becomes %.2f messages (itself, booking, verdicts, its share of tallies) of %.0f bytes with topic on average; one recorded alone %.2f. (a) sends those of judged readings.",
        judged.messagesEach(), bench.meanBytes(), recorded.messagesEach());
    say("Threads, judged: %s.", String.join(", ", judged.cost().most()));
    say("Threads, recorded alone: %s.", String.join(", ", recorded.cost().most()));
    say("Threads, %d readings/s: %s.", RATE, String.join(", ", paced.cost().most()));
    long few = bench.resident(4, 8, 15);
    long many = bench.resident(64, 128, 15);
    say(
        "Resident: %d MB with 4 stations, %d MB with 64, each with a test set and 2 readings/s: %.0f kB a station.",
        few >> 20, many >> 20, (many - few) / 60.0 / 1024);
  }

  private void head() {
    say(
        "| | readings/s | messages/s | readings/s ÷ (a) | messages/s ÷ (a) | readings/s ÷ (c) | CPU a reading, µs | p50, ms | p99 | p99.9 | most | resident, MB | load |");
    say("|---|---|---|---|---|---|---|---|---|---|---|---|---|");
  }

  private void row(String what, Figure figure, Figure library, Figure script) {
    List<Double> late = figure.late();
    say(
        "| %s | %.0f | %.0f | %.2f | %.2f | %.2f | %.0f | %s | %s | %s | %s | %s | %.2f |",
        what,
        figure.readings(),
        figure.messages(),
        figure.readings() / library.messages(),
        figure.messages() / library.messages(),
        figure.readings() / script.readings(),
        figure.microsEach(),
        millis(late, 0.5),
        millis(late, 0.99),
        millis(late, 0.999),
        millis(late, 1),
        figure.resident() == 0 ? "–" : Long.toString(figure.resident() >> 20),
        figure.load());
  }

  private static String millis(List<Double> sorted, double share) {
    if (sorted.isEmpty()) {
      return "–";
    }
    int place = (int) Math.ceil(share * sorted.size()) - 1;
    return String.format(Locale.ROOT, "%.2f", 1000 * sorted.get(Math.max(0, place)));
  }

  private void machine(long seed, Size size) throws Exception {
    say(
        "%d cores, %s; Java %s; %s; bridge and library with %s, the bridge besides with \"%s\"; %d stations at 921600 baud on pseudo-terminals, credit 64; warmed up for %.0f s; seed %d",
        Runtime.getRuntime().availableProcessors(),
        SpeedBench.text(Path.of("/proc/meminfo")).lines().findFirst().orElse(""),
        System.getProperty("java.version"),
        broker(),
        String.join(" ", SpeedBench.JAVA),
        String.join(" ", SpeedBench.MORE_JAVA),
        size.stations(),
        size.warm(),
        seed);
    say("A sync of 4 KiB in the folder of the journal takes %s.", syncs());
    say("");
  }

  /** The first line of its help, which ends with a status of its own. */
  private static String broker() throws Exception {
    Process help =
        new ProcessBuilder("/usr/sbin/mosquitto", "-h").redirectErrorStream(true).start();
    try {
      return String.valueOf(help.inputReader().readLine());
    } finally {
      help.destroy();
      help.waitFor(5, TimeUnit.SECONDS);
    }
  }

  private String syncs() throws IOException {
    double[] took = new double[SYNCS];
    Path file = folder.resolve("syncs");
    try (FileChannel channel =
        FileChannel.open(file, StandardOpenOption.CREATE, StandardOpenOption.WRITE)) {
      for (int i = 0; i < SYNCS; i++) {
        channel.write(ByteBuffer.allocate(4096));
        long begun = System.nanoTime();
        channel.force(false);
        took[i] = (System.nanoTime() - begun) / 1e6;
      }
    }
    Arrays.sort(took);
    return String.format(
        Locale.ROOT, "%.2f ms (p50), %.2f ms (p99)", took[SYNCS / 2], took[SYNCS * 99 / 100]);
  }

  private void say(String format, Object... values) {
    String line = String.format(Locale.ROOT, format, values);
    lines.add(line);
    System.out.println(line);
  }
}
