package org.tallywire.conform;

import static org.junit.jupiter.api.Assertions.assertEquals;
import static org.junit.jupiter.api.Assertions.assertFalse;
import static org.junit.jupiter.api.Assertions.assertTrue;

import java.time.Duration;
import java.util.ArrayList;
import java.util.List;
import java.util.Optional;
import java.util.Random;
import java.util.concurrent.atomic.AtomicLong;
import java.util.concurrent.atomic.AtomicReference;
import org.junit.jupiter.api.DisplayName;
import org.junit.jupiter.api.Test;
import org.junit.jupiter.params.ParameterizedTest;
import org.junit.jupiter.params.provider.EnumSource;
import org.tallywire.api.FaultCode;
import org.tallywire.api.LinkException;
import org.tallywire.kit.ManualTime;

/** The instrument's side of the kit against a right instrument and against wrong ones. */
class InstrumentConformanceTest {

  private static final int READINGS = 8;
  private static final int LARGE = 500;
  private static final int SMALL = 4;

  private final long seed = new Random().nextLong(1_000_000);
  private List<String> transcript = List.of();
  private List<String> only = List.of();

  @Test
  @DisplayName("A right instrument keeps every rule; untested is what needs a person or a manual")
  void right() throws Exception {
    Report report = report(Optional.empty(), LARGE, READINGS, false);
    assertEquals(List.of(), report.faults(), this::evidence);
    assertEquals(untestable("L-11", "L-14", "L-15", "L-26", "L-36"), untested(report));
    assertTrue(report.lines().stream().noneMatch(l -> l.endsWith(": checked")), this::evidence);
  }

  @Test
  @DisplayName("A right instrument with a small store declares what it drops (L-26)")
  void overflow() throws Exception {
    Report report = report(Optional.empty(), SMALL, READINGS, false);
    assertEquals(List.of(), report.faults(), this::evidence);
    assertEquals(untestable("L-11", "L-14", "L-15", "L-36"), untested(report));
  }

  @Test
  @DisplayName(
      "A right instrument that a person restarts says so with another boot id (L-14, L-15)")
  void restarted() throws Exception {
    Report report = report(Optional.empty(), LARGE, READINGS, true);
    assertEquals(List.of(), report.faults(), this::evidence);
    assertEquals(untestable("L-11", "L-26", "L-36"), untested(report));
  }

  @Test
  @DisplayName("Without readings their rules are untested, and the last line says so")
  void noReadings() throws Exception {
    Report report = report(Optional.empty(), LARGE, 0, false);
    assertEquals(List.of(), report.faults(), this::evidence);
    assertEquals(
        untestable(
            "L-11", "L-14", "L-15", "L-20", "L-21", "L-22", "L-23", "L-24", "L-26", "L-33", "L-36"),
        untested(report));
    List<String> lines = report.lines();
    assertTrue(
        lines.get(lines.size() - 1).endsWith("the rules about readings are not tested."),
        lines.toString());
  }

  @Test
  @DisplayName("L-14a, L-15a: an instrument that is away for some seconds is waited for")
  void away() throws Exception {
    Report report = restarted(Duration.ofSeconds(3), false);
    assertEquals(List.of(), report.faults(), this::evidence);
    assertEquals(untestable("L-11", "L-26", "L-36"), untested(report), this::evidence);
  }

  @Test
  @DisplayName("L-15a: !start behind the first answer counts")
  void lateStart() throws Exception {
    Report report = restarted(Duration.ZERO, true);
    assertEquals(List.of(), report.faults(), this::evidence);
    assertEquals(untestable("L-11", "L-26", "L-36"), untested(report), this::evidence);
  }

  @Test
  @DisplayName("L-14a: an instrument that does not come back breaks no rule; it is untested")
  void neverBack() throws Exception {
    Report report = restarted(Duration.ofDays(1), false);
    assertEquals(List.of(), report.faults(), this::evidence);
    assertEquals(untestable("L-11", "L-14", "L-15", "L-26", "L-36"), untested(report));
    assertTrue(
        report.lines().stream().anyMatch(l -> l.contains("it did not come back within 5 s")),
        () -> String.join("\n", report.lines()));
  }

  @Test
  @DisplayName("Only the checks that are meant are played, and what they rest on")
  void only() throws Exception {
    only = List.of("l-23c");
    Report report = report(Optional.empty(), LARGE, READINGS, false);
    assertEquals(List.of(), report.faults(), this::evidence);
    List<String> lines = report.lines();
    assertTrue(lines.stream().anyMatch(l -> l.startsWith("kept      L-23")), lines.toString());
    assertTrue(
        lines.stream().anyMatch(l -> l.contains("not played: left out by --only")),
        lines.toString());
    assertFalse(transcript.stream().anyMatch(line -> line.contains(">x-unknown")), this::evidence);
  }

  @Test
  @DisplayName("An instrument that never answers is given up at the hello")
  void deaf() throws Exception {
    Report report = report(Optional.of(Defect.NO_FINAL_TERMINATOR), LARGE, READINGS, false);
    assertEquals(1, report.faults().size(), report.faults()::toString);
    assertTrue(
        report.lines().stream().anyMatch(l -> l.contains("not reached: no hello was answered")));
    assertTrue(
        transcript.stream().filter(l -> l.startsWith("kit")).allMatch(l -> l.contains(">hello")),
        this::evidence);
  }

  @Test
  @DisplayName("A run that is stopped reports what it has until then")
  void stopped() throws Exception {
    ManualTime time = new ManualTime();
    ToyInstrument toy = new ToyInstrument(time, Optional.empty(), LARGE, READINGS);
    AtomicReference<InstrumentConformance> running = new AtomicReference<>();
    List<String> said = new ArrayList<>();
    InstrumentConformance conformance =
        new InstrumentConformance(
            () -> new VirtualLink(time, toy),
            time,
            options(false),
            words -> {
              if (words.equals("Requests")) {
                running.get().stop();
              }
            },
            said::add);
    running.set(conformance);
    Report report = conformance.run();
    assertTrue(conformance.isStopped());
    assertFalse(conformance.isTooLittle());
    assertEquals(List.of(), report.faults());
    assertTrue(report.lines().stream().anyMatch(l -> l.startsWith("kept      L-6 ")));
    assertTrue(
        report.lines().stream().anyMatch(l -> l.contains("not reached: it was stopped before")));
    assertTrue(said.get(1).matches(" +[0-9]+\\.[0-9]{3}  kit    >hello .*"), said.get(1));
    assertEquals(conformance.transcript().size() + 1, said.size(), "and that a link was opened");
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
            options(restart),
            words -> {
              if (words.startsWith("Restart:")) {
                toy.restart();
              }
            },
            line -> {});
    Report report = conformance.run();
    transcript = conformance.transcript();
    return report;
  }

  /** A restart that takes the link away for some time. */
  private Report restarted(Duration away, boolean late) throws Exception {
    ManualTime time = new ManualTime();
    ToyInstrument toy = new ToyInstrument(time, Optional.empty(), LARGE, READINGS);
    AtomicReference<VirtualLink> link = new AtomicReference<>();
    AtomicLong back = new AtomicLong();
    InstrumentConformance conformance =
        new InstrumentConformance(
            () -> {
              if (time.nanos() < back.get()) {
                time.pass(Duration.ofSeconds(1));
                throw new LinkException(FaultCode.LINK_REFUSED, "nobody is there");
              }
              link.set(new VirtualLink(time, toy));
              return link.get();
            },
            time,
            options(true),
            words -> {
              if (words.startsWith("Restart:")) {
                toy.restart(late);
                back.set(time.nanos() + away.toNanos());
                if (!away.isZero()) {
                  link.get().close();
                }
              }
            },
            line -> {});
    Report report = conformance.run();
    transcript = conformance.transcript();
    return report;
  }

  private InstrumentOptions options(boolean restart) {
    return new InstrumentOptions(0, 5, Duration.ofSeconds(5), restart, seed, only);
  }

  /** Those given, and what the page says of an instrument that the line cannot show. */
  private static List<String> untestable(String... rules) {
    List<String> given = List.of(rules);
    return Rule.of(Rule.Side.INSTRUMENT).stream()
        .filter(rule -> given.contains(rule.id()) || !rule.instrument().startsWith("checked"))
        .map(Rule::id)
        .toList();
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
