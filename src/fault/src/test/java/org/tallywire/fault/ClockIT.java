package org.tallywire.fault;

import static org.junit.jupiter.api.Assertions.assertEquals;
import static org.junit.jupiter.api.Assertions.assertFalse;

import java.nio.file.Path;
import java.time.Duration;
import java.time.Instant;
import java.util.ArrayList;
import java.util.List;
import org.junit.jupiter.api.DisplayName;
import org.junit.jupiter.api.Test;
import org.junit.jupiter.api.io.TempDir;

/**
 * The wall clock jumps while the bridge runs: back an hour, forward, to 1970. Waits go by the
 * monotonic clock, order by position, and a record says what the clock said.
 */
class ClockIT {

  private static final Duration ON_ITS_WAY = Duration.ofSeconds(30);
  private static final Duration SLACK = Duration.ofSeconds(5);
  private static final List<Duration> SMALL = List.of(Duration.ofHours(-1));
  private static final List<Duration> LARGE =
      List.of(
          Duration.ofHours(-1),
          Duration.ZERO,
          Duration.ofHours(1),
          Duration.ofDays(-365 * 60),
          Duration.ZERO,
          Duration.ofSeconds(-1),
          Duration.ofDays(4000));

  @TempDir private Path folder;

  /**
   * A stretch between two jumps: positions after the first up to the last were written in it.
   *
   * @param former the offset before the jump
   */
  private record Stretch(
      Duration former, Duration offset, Instant from, Instant to, int first, int last) {}

  @Test
  @DisplayName("The clock jumps: nothing is lost or doubled, and records say what it said")
  void jumps() throws Exception {
    List<Duration> jumps = Fault.isLarge() ? LARGE : SMALL;
    Fault fault = Fault.of("clock jumps", jumps.size(), jumps.size());
    Path data = folder.toRealPath().resolve("one").resolve("data");
    Watch watch = Watch.require(folder, data);
    WatchControl control = WatchControl.of(watch.control());
    control.trace(false, false);
    List<Stretch> stretches = new ArrayList<>();
    Kept kept = new Kept(data);
    try (Rig rig = new Rig(folder)) {
      rig.add("one", Instruments.start(folder.resolve("instruments"), 2, 10));
      rig.bridge().with(watch.environment(false));
      rig.bridge().start();
      rig.awaitReadings(5);
      Duration former = Duration.ZERO;
      for (Duration jump : jumps) {
        control.clock(jump);
        Instant from = Instant.now();
        int first = kept.beside().size();
        rig.recover(System.nanoTime());
        rig.awaitReadings(20);
        int last = kept.beside().size();
        stretches.add(new Stretch(former, jump, from, Instant.now(), first, last));
        former = jump;
      }
      rig.judgeAtTheEnd(fault, jumps.size(), "");
    }
    List<String> wrong = new ArrayList<>();
    List<Told> all = kept.after();
    for (Stretch stretch : stretches) {
      List<Told> some = all.subList(stretch.first(), stretch.last());
      assertFalse(some.isEmpty(), "nothing was written at " + stretch);
      some.stream()
          .filter(told -> told.kind().equals("reading"))
          .forEach(told -> check(told, stretch, wrong));
    }
    assertEquals(List.of(), wrong);
  }

  private static void check(Told told, Stretch stretch, List<String> wrong) {
    Instant received = Instant.parse(told.json().path("receivedAt").asText());
    Instant earliest = shown(stretch.from(), stretch.offset()).minus(SLACK);
    Instant latest = shown(stretch.to(), stretch.offset()).plus(SLACK);
    if (isBefore(received, stretch)) {
      return;
    }
    if (received.isBefore(earliest) || received.isAfter(latest)) {
      wrong.add("%s where the clock said %s to %s".formatted(told.text(), earliest, latest));
    }
  }

  /** Tells whether it was received before the jump and written after it. */
  private static boolean isBefore(Instant received, Stretch stretch) {
    Instant jump = shown(stretch.from(), stretch.former());
    return !received.isAfter(jump) && received.isAfter(jump.minus(ON_ITS_WAY));
  }

  private static Instant shown(Instant real, Duration offset) {
    Instant moved = real.plus(offset);
    return moved.isBefore(Instant.EPOCH) ? Instant.EPOCH : moved;
  }
}
