package org.tallywire.fault;

import static org.awaitility.Awaitility.await;

import java.io.IOException;
import java.nio.file.Path;
import java.time.Duration;
import java.util.Random;
import org.jspecify.annotations.Nullable;
import org.junit.jupiter.api.AfterAll;
import org.junit.jupiter.api.DisplayName;
import org.junit.jupiter.api.Test;
import org.junit.jupiter.api.TestInstance;
import org.junit.jupiter.api.io.TempDir;

/**
 * What happens to lines and instruments; one rig meets it all. The simulator does the faults, in
 * bench time, which runs {@link #PACE} times as fast as ours.
 */
@TestInstance(TestInstance.Lifecycle.PER_CLASS)
class LineIT {

  private static final int INSTRUMENTS = 4;
  private static final int PACE = 10;

  @TempDir private static Path folder;

  private @Nullable Rig rig;

  /** A fault that lasts a while and ends. */
  private interface Spell {
    void pass(Instruments instruments, Random random) throws IOException;
  }

  @AfterAll
  void end() throws Exception {
    if (rig != null) {
      rig.close();
    }
  }

  @Test
  @DisplayName("Unplugged, and in again at another port, to which its link then leads")
  void unplugged() throws Exception {
    run(
        Fault.of("unplug", 1, 40),
        (instruments, random) -> {
          int back = instruments.said("ready") + instruments.count();
          long millis = 200L + random.nextInt(2000);
          instruments.command("plant unplug for %d s".formatted(seconds(millis)), "planted");
          await().atMost(Duration.ofSeconds(30)).until(() -> instruments.said("ready") >= back);
        });
  }

  @Test
  @DisplayName("The line freezes and lets everything through afterwards")
  void frozen() throws Exception {
    run(
        Fault.of("line-freeze", 1, 40),
        (instruments, random) -> {
          long millis = 500L + random.nextInt(4000);
          instruments.command("plant freeze for %d s".formatted(seconds(millis)), "planted");
          Pause.millis(millis);
        });
  }

  @Test
  @DisplayName("Noise between lines, flipped bits, lost bytes, lines twice")
  void noisy() throws Exception {
    run(
        Fault.of("line-noise", 1, 40),
        (instruments, random) -> {
          instruments.command("plant line noise: {share: 20 %}", "planted");
          instruments.command("plant bit errors: {share: 0.01 %}", "planted");
          instruments.command("plant lost bytes: {share: 0.1 %}", "planted");
          instruments.command("plant duplicates: {share: 20 %}", "planted");
          Pause.millis(1000 + random.nextInt(3000));
          clear(instruments);
        });
  }

  @Test
  @DisplayName("The instruments are switched off and on: what was known to be there is declared")
  void rebooted() throws Exception {
    run(
        Fault.of("reboot", 1, 40),
        (instruments, random) -> {
          long millis = 100L + random.nextInt(2000);
          // full stores, so that there is something to lose
          instruments.command("plant freeze for %d s".formatted(seconds(500)), "planted");
          Pause.millis(random.nextInt(700));
          instruments.command("plant reboot: {lasts: %d s}".formatted(seconds(millis)), "planted");
          Pause.millis(millis);
          clear(instruments);
        });
  }

  @Test
  @DisplayName("The store overflows: what went is declared, no more and no less")
  void overflow() throws Exception {
    run(
        Fault.of("store-overflow", 1, 40),
        (instruments, random) -> {
          instruments.command(
              "plant store overflow: {holds: %d}".formatted(1 + random.nextInt(8)), "planted");
          long millis = 1000L + random.nextInt(1500);
          instruments.command("plant freeze for %d s".formatted(seconds(millis)), "planted");
          Pause.millis(millis);
          clear(instruments);
        });
  }

  /** Returns bench time for a real time. */
  private static long seconds(long millis) {
    return Math.max(1, millis * PACE / 1000);
  }

  private static void clear(Instruments instruments) throws IOException {
    instruments.command("clear all", "cleared");
  }

  private void run(Fault fault, Spell spell) throws Exception {
    if (rig == null) {
      rig = Rig.start(folder, INSTRUMENTS, PACE);
    }
    Random random = fault.random();
    for (int cycle = 0; cycle < fault.cycles(); cycle++) {
      rig.awaitReadings(1 + random.nextInt(20));
      spell.pass(rig.instruments(), random);
      rig.recover(System.nanoTime());
    }
    rig.judge(fault, fault.cycles(), "");
  }
}
