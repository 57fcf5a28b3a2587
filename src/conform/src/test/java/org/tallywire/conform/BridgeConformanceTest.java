package org.tallywire.conform;

import static org.junit.jupiter.api.Assertions.assertEquals;
import static org.junit.jupiter.api.Assertions.assertFalse;
import static org.junit.jupiter.api.Assertions.assertTrue;

import java.time.Duration;
import java.util.ArrayList;
import java.util.List;
import java.util.Set;
import java.util.TreeSet;
import org.junit.jupiter.api.DisplayName;
import org.junit.jupiter.api.Test;
import org.junit.jupiter.params.ParameterizedTest;
import org.junit.jupiter.params.provider.EnumSource;
import org.junit.jupiter.params.provider.ValueSource;
import org.tallywire.api.LinkException;
import org.tallywire.kit.ManualTime;

/** The kit against the real driver, and against one that is wrong in one thing. */
class BridgeConformanceTest {

  private final List<String> progress = new ArrayList<>();
  private final List<String> transcript = new ArrayList<>();

  @ParameterizedTest
  @ValueSource(ints = {0, 9_600, 115_200})
  @DisplayName("The real driver keeps every rule, over TCP and on serial lines")
  void conforms(int baud) throws LinkException {
    Report report = play(BridgeDefect.NONE, baud, List.of());
    assertTrue(report.isConforming(), () -> told(report));
  }

  @Test
  @DisplayName("Every rule that is checked on a bridge is kept by at least one check")
  void complete() throws LinkException {
    Report report = play(BridgeDefect.NONE, 0, List.of());
    Set<String> untested = new TreeSet<>();
    for (String line : report.lines()) {
      if (line.startsWith("untested")) {
        untested.add(line.split(" +", -1)[1]);
      }
    }
    assertEquals(Set.of("L-11"), untested, () -> told(report));
  }

  @ParameterizedTest
  @EnumSource(mode = EnumSource.Mode.EXCLUDE, names = "NONE")
  @DisplayName("A bridge with a defect does not conform, and the report says why")
  void defects(BridgeDefect defect) throws LinkException {
    Report report =
        play(
            defect,
            0,
            List.of(defect.rule(), "without any fault", "quiet instrument", "never answered"));
    assertFalse(report.isConforming());
    String start = defect.rule() + ": ";
    assertTrue(
        report.faults().stream().anyMatch(f -> f.startsWith(start) && f.contains(defect.words())),
        () -> "%s %s%n%s".formatted(defect.rule(), defect.words(), told(report)));
  }

  @Test
  @DisplayName("Only the scenarios that were asked for are played, after the one without any fault")
  void only() throws LinkException {
    assertEquals(
        List.of(
            "a digest that is right  [L-33a L-33b]",
            "a reading and a loss whose digest is wrong or missing  [L-33c]"),
        BridgeConformance.names(List.of("l-33")));
    assertEquals(List.of(), BridgeConformance.names(List.of("nosuch")));
    Report report = play(BridgeDefect.NONE, 0, List.of("L-33"));
    assertEquals(
        List.of(
            "kept      a conversation without any fault",
            "kept      a digest that is right",
            "kept      a reading and a loss whose digest is wrong or missing"),
        progress);
    assertTrue(
        report.lines().contains("untested  L-27  Skipped numbers: not played: left out by --only"),
        () -> told(report));
  }

  @Test
  @DisplayName(
      "A bridge that fails without any fault is not troubled further: three tries, one cause")
  void stops() throws LinkException {
    Report report = play(BridgeDefect.NEVER_ACKNOWLEDGES, 0, List.of());
    assertEquals(1, report.faults().size(), () -> told(report));
    assertTrue(report.faults().get(0).endsWith("as before 2 times more)"), () -> told(report));
    assertTrue(
        report.lines().stream()
            .anyMatch(l -> l.startsWith("untested  L-27") && l.contains("stopped after the first")),
        () -> told(report));
    assertEquals(3, transcript.stream().filter(l -> l.startsWith("== ")).count());
  }

  @Test
  @DisplayName("The line at issue is shown first, beats are not, and the same cause is told once")
  void excerpt() throws LinkException {
    play(BridgeDefect.STOPS_AT_THE_UNREADABLE, 0, List.of("L-22"));
    int broken = progress.indexOf(first("BROKEN"));
    assertTrue(progress.get(broken + 1).contains("at issue  kit    !reading"), progress.toString());
    assertTrue(progress.get(broken + 1).matches(".* v1=[^ *]*\\*[0-9A-F]{4}"), progress.toString());
    assertTrue(progress.stream().noneMatch(l -> l.contains("kit    !beat")), progress.toString());
    assertTrue(progress.stream().filter(l -> l.contains("as before")).count() <= 1);
    assertTrue(
        transcript.stream().anyMatch(l -> l.matches(" +[0-9]+\\.[0-9]{3}  kit    !reading .*")));
  }

  private String first(String word) {
    return progress.stream().filter(l -> l.startsWith(word)).findFirst().orElseThrow();
  }

  private Report play(BridgeDefect defect, int baud, List<String> only) throws LinkException {
    ManualTime time = new ManualTime();
    return new BridgeConformance(
            new VirtualBridge(time, defect, baud),
            time,
            new BridgeConformance.Options(baud, only, Duration.ofSeconds(60)),
            progress::add,
            transcript::add)
        .run();
  }

  private String told(Report report) {
    List<String> all = new ArrayList<>(progress);
    all.addAll(report.lines());
    return String.join("\n", all);
  }
}
