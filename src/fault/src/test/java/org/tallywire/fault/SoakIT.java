package org.tallywire.fault;

import static org.junit.jupiter.api.Assertions.assertAll;
import static org.junit.jupiter.api.Assertions.assertEquals;
import static org.junit.jupiter.api.Assertions.fail;

import java.io.IOException;
import java.nio.file.Files;
import java.nio.file.Path;
import java.time.Duration;
import java.util.ArrayList;
import java.util.List;
import java.util.Random;
import java.util.concurrent.CompletableFuture;
import java.util.concurrent.TimeUnit;
import org.junit.jupiter.api.Assumptions;
import org.junit.jupiter.api.DisplayName;
import org.junit.jupiter.api.Test;
import org.junit.jupiter.api.io.TempDir;

/**
 * A bridge that works for long among faults of every kind stays as it is: memory, threads, open
 * files. It is never killed, as its process is what is looked at. {@code tallywire.soak} says for
 * how many seconds, {@code tallywire.soak.instruments} with how many instruments.
 */
class SoakIT {

  private static final int SECONDS = Integer.getInteger("tallywire.soak", 2);
  private static final int INSTRUMENTS = Integer.getInteger("tallywire.soak.instruments", 4);

  /** From here on it is long enough for lines to say something. */
  private static final int LONG = 60;

  /**
   * How fast the benches are; at 4 some two readings a second of each, in rounds of half a minute.
   */
  private static final int PACE = SECONDS < LONG ? 10 : 4;

  private static final Path FILE = Path.of("target", "soak.md");

  /**
   * All of the heap is touched at the start: what resident memory gains later is not the heap,
   * which has its own figure.
   */
  private static final String[] JAVA = {"-Xms256m", "-Xmx256m", "-XX:+AlwaysPreTouch"};

  @TempDir private Path folder;

  @Test
  @DisplayName("Live heap, resident memory, threads, open files, rate and delay stay as they are")
  void steady() throws Exception {
    boolean seen = Vitals.areSeen();
    if (!seen && "true".equals(System.getenv("CI"))) {
      fail("/proc and jcmd are needed on the build server");
    }
    Assumptions.assumeTrue(seen, "needs /proc and jcmd");
    Fault fault = Fault.of("soak", 1, 1);
    System.out.printf("soak: %d s, %d instruments%n", SECONDS, INSTRUMENTS);
    try (Rig rig = new Rig(folder)) {
      Instruments instruments = Instruments.start(folder.resolve("instruments"), INSTRUMENTS, PACE);
      rig.add("one", instruments, testSet(), JAVA);
      Files.writeString(folder.resolve("one").resolve("plate.yaml"), Instruments.plate());
      rig.bridge().start();
      rig.awaitReadings(1);
      LotOfFaults lot = new LotOfFaults(instruments, PACE, fault.random());
      Path data = folder.resolve("one").resolve("data");
      try (Sampling watch =
          new Sampling(new Vitals(rig.bridge().pid()), data, rig.listener(), lot::mayBeDown)) {
        watch.start(Duration.ofMillis(SECONDS < LONG ? 500 : 5000), 3);
        int faults = trouble(rig, lot, fault);
        rig.recover(System.nanoTime());
        Steadiness steadiness = new Steadiness(watch.stop());
        write(fault, faults, steadiness, watch);
        List<String> unsteady = steadiness.unsteady(SECONDS >= LONG);
        assertAll(
            () -> rig.judgeAtTheEnd(fault, faults, "%d s".formatted(SECONDS)),
            () -> assertEquals(List.of(), unsteady, () -> String.join("\n", watch.grown())));
      }
    }
  }

  /** Does faults to lines and, beside them, to the broker until the time is over; counts them. */
  private static int trouble(Rig rig, LotOfFaults lot, Fault fault) throws Exception {
    long end = System.nanoTime() + TimeUnit.SECONDS.toNanos(SECONDS);
    CompletableFuture<Integer> broker =
        CompletableFuture.supplyAsync(
            () -> {
              try {
                return brokerTrouble(rig, new Random(fault.seed() + 1), end);
              } catch (Exception e) {
                throw new IllegalStateException("the broker could not be troubled", e);
              }
            });
    Random random = new Random(fault.seed() + 2);
    while (System.nanoTime() - end < 0) {
      lot.next();
      Pause.millis(random.nextInt(SECONDS < LONG ? 300 : 800));
      if (!rig.bridge().isAlive()) {
        throw new AssertionError("the bridge has ended:\n" + rig.bridge().lastLines());
      }
    }
    lot.end();
    return lot.planted() + broker.get(LONG, TimeUnit.SECONDS);
  }

  private static int brokerTrouble(Rig rig, Random random, long end) throws Exception {
    int count = 0;
    int longest = SECONDS < LONG ? 300 : 4000;
    while (System.nanoTime() - end < 0) {
      switch (random.nextInt(3)) {
        case 0 -> rig.restartBroker(random.nextInt(longest));
        case 1 -> {
          rig.broker().freeze();
          Pause.millis(random.nextInt(longest));
          rig.broker().thaw();
        }
        default -> rig.gate().cut();
      }
      count++;
      long rest = 500L + random.nextInt(6 * longest);
      Pause.millis(Math.max(0, Math.min(rest, (end - System.nanoTime()) / 1_000_000)));
    }
    return count;
  }

  private static void write(Fault fault, int faults, Steadiness steadiness, Sampling watch)
      throws IOException {
    List<String> lines = new ArrayList<>();
    lines.add(
        "Soak: %d s, %d instruments, pace %d, %d faults, seed %d, %s"
            .formatted(SECONDS, INSTRUMENTS, PACE, faults, fault.seed(), String.join(" ", JAVA)));
    lines.add("");
    lines.addAll(steadiness.table());
    lines.add("");
    lines.add("Live bytes that grew most in the second half:");
    lines.add("");
    lines.addAll(watch.grown());
    Files.createDirectories(FILE.toAbsolutePath().getParent());
    Files.write(FILE, lines);
    lines.forEach(System.out::println);
  }

  /** One test set that never gets to its end, so that judging and booking go on all the time. */
  private static String testSet() {
    return """
        test-sets:
          - id: soak
            nameplate: plate.yaml
            stations: [station-1-1]
            criteria: insulation-oil
            tests: [turns-ratio, winding-resistance, insulation-resistance]
        """;
  }
}
