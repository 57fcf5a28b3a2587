package org.tallywire.conform;

import static org.junit.jupiter.api.Assertions.assertEquals;
import static org.junit.jupiter.api.Assertions.assertFalse;
import static org.junit.jupiter.api.Assertions.assertTrue;

import java.time.Duration;
import java.util.List;
import java.util.Optional;
import java.util.Random;
import org.junit.jupiter.api.DisplayName;
import org.junit.jupiter.api.Test;
import org.junit.jupiter.params.ParameterizedTest;
import org.junit.jupiter.params.provider.EnumSource;
import org.tallywire.kit.ManualTime;

/** The instrument's side of the kit against a right instrument and against wrong ones. */
class InstrumentConformanceTest {

  private static final int READINGS = 8;
  private static final int LARGE = 500;
  private static final int SMALL = 4;

  private final long seed = new Random().nextLong(1_000_000);
  private List<String> transcript = List.of();

  @Test
  @DisplayName("A right instrument keeps every rule; untested is what needs a person or a manual")
  void right() throws Exception {
    Report report = report(Optional.empty(), LARGE, READINGS, false);
    assertEquals(List.of(), report.faults(), this::evidence);
    assertEquals(List.of("L-11", "L-14", "L-15", "L-26", "L-36"), untested(report));
  }

  @Test
  @DisplayName("A right instrument with a small store declares what it drops (L-26)")
  void overflow() throws Exception {
    Report report = report(Optional.empty(), SMALL, READINGS, false);
    assertEquals(List.of(), report.faults(), this::evidence);
    assertEquals(List.of("L-11", "L-14", "L-15", "L-36"), untested(report));
  }

  @Test
  @DisplayName(
      "A right instrument that a person restarts says so with another boot id (L-14, L-15)")
  void restarted() throws Exception {
    Report report = report(Optional.empty(), LARGE, READINGS, true);
    assertEquals(List.of(), report.faults(), this::evidence);
    assertEquals(List.of("L-11", "L-26", "L-36"), untested(report));
  }

  @Test
  @DisplayName("Without readings their rules are untested, and the last line says so")
  void noReadings() throws Exception {
    Report report = report(Optional.empty(), LARGE, 0, false);
    assertEquals(List.of(), report.faults(), this::evidence);
    assertEquals(
        List.of(
            "L-11", "L-14", "L-15", "L-20", "L-21", "L-22", "L-23", "L-24", "L-26", "L-33", "L-36",
            "L-37"),
        untested(report));
    List<String> lines = report.lines();
    assertTrue(
        lines.get(lines.size() - 1).endsWith("the rules about readings are not tested."),
        lines.toString());
  }

  @ParameterizedTest
  @EnumSource(Defect.class)
  @DisplayName("Each defect alone breaks the rule it should, in words that name it")
  void defect(Defect defect) throws Exception {
    boolean restart = defect == Defect.SAME_BOOT_AFTER_RESTART;
    int capacity = defect == Defect.LOST_UNDECLARED ? SMALL : LARGE;
    Report report = report(Optional.of(defect), capacity, READINGS, restart);
    assertFalse(report.isConforming(), this::evidence);
    assertTrue(
        report.faults().stream()
            .anyMatch(f -> f.startsWith(defect.citation() + ":") && f.contains(defect.words())),
        () -> String.join("\n", report.faults()) + "\n" + evidence());
  }

  private Report report(Optional<Defect> defect, int capacity, int total, boolean restart)
      throws Exception {
    ManualTime time = new ManualTime();
    ToyInstrument toy = new ToyInstrument(time, defect, capacity, total);
    InstrumentConformance conformance =
        new InstrumentConformance(
            () -> new VirtualLink(time, toy),
            time,
            new InstrumentOptions(0, 5, Duration.ofSeconds(5), restart, seed),
            words -> {
              if (words.startsWith("Restart:")) {
                toy.restart();
              }
            });
    Report report = conformance.run();
    transcript = conformance.transcript();
    return report;
  }

  private static List<String> untested(Report report) {
    return report.lines().stream()
        .filter(line -> line.startsWith("untested"))
        .map(line -> line.split(" +", -1)[1])
        .toList();
  }

  private String evidence() {
    int from = Math.max(0, transcript.size() - 60);
    return "seed %d\n%s"
        .formatted(seed, String.join("\n", transcript.subList(from, transcript.size())));
  }
}
