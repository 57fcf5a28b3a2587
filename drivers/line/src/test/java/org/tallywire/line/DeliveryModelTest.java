package org.tallywire.line;

import static org.junit.jupiter.api.Assertions.assertEquals;
import static org.junit.jupiter.api.Assertions.assertNotEquals;
import static org.junit.jupiter.api.Assertions.assertTrue;
import static org.junit.jupiter.api.Assertions.fail;

import java.io.File;
import java.io.IOException;
import java.nio.charset.StandardCharsets;
import java.nio.file.Files;
import java.nio.file.Path;
import java.util.ArrayList;
import java.util.EnumMap;
import java.util.List;
import java.util.Map;
import java.util.Objects;
import java.util.concurrent.ExecutorService;
import java.util.concurrent.Executors;
import java.util.concurrent.Future;
import java.util.concurrent.TimeUnit;
import java.util.regex.Matcher;
import java.util.regex.Pattern;
import java.util.stream.Stream;
import org.junit.jupiter.api.AfterAll;
import org.junit.jupiter.api.Assumptions;
import org.junit.jupiter.api.BeforeAll;
import org.junit.jupiter.api.DisplayName;
import org.junit.jupiter.api.io.TempDir;
import org.junit.jupiter.params.ParameterizedTest;
import org.junit.jupiter.params.provider.EnumSource;

/**
 * Checks the delivery rules themselves, as {@code shared/model/delivery.pml}, with the model
 * checker spin: the rules hold, and each rule that is weakened lets it find what then goes wrong.
 */
class DeliveryModelTest {

  private static final Path MODEL = Path.of("../../shared/model/delivery.pml").toAbsolutePath();
  private static final List<String> PROGRAMS = List.of("spin", "gcc");
  private static final long SECONDS_EACH = 60;
  private static final Pattern ERRORS = Pattern.compile("errors: ([0-9]+)");
  private static final Pattern STATES = Pattern.compile("([0-9.e+]+) states, stored");
  private static final Pattern FINDING = Pattern.compile("(?m)^pan:1: (.*) \\(at depth");

  /** Runs at the same time: compiling takes most of it, and two cores are usual. */
  private static final int SIDE_BY_SIDE = 2;

  @TempDir static Path folder = Path.of("");

  private static final boolean BUILD_SERVER = "true".equals(System.getenv("CI"));
  private static final ExecutorService RUNS = Executors.newFixedThreadPool(SIDE_BY_SIDE);
  private static final Map<Run, Future<String>> REPORTS = new EnumMap<>(Run.class);

  /** What is checked, with how many faults, and what is found. */
  private enum Run {
    SAFETY(2, ""),
    LIVENESS(2, ""),
    /** L-23b: acknowledged before it is on disk. */
    ACK_BEFORE_DURABLE(1, "assertion violated S1_forgotten_is_in_journal"),
    /** L-25a: a repeat is not dropped. */
    NO_DUPLICATE_CHECK(1, "assertion violated S2_once_in_journal"),
    /** L-14: the boot id stays though the counter is lost. */
    SAME_BOOT_AFTER_LOSS(1, "assertion violated S1_forgotten_is_in_journal"),
    /** L-26a: what overflowed is not said. */
    SILENT_OVERFLOW(1, "assertion violated S3_nothing_silently_skipped"),
    /** L-24b: nothing is sent again after a time. */
    NO_RESEND(1, "acceptance cycle"),
    /** L-24b: sent again is only what lies beyond the last {@code >send after}. */
    RESEND_BEYOND_AFTER(1, "acceptance cycle"),
    /** L-19b, L-16d: a repeated {@code >send} is told another {@code first}. */
    L19_FRESH_FIRST(2, "assertion violated S5_missing_only_if_gone"),
    /** L-19d: declared missing is all before {@code first}, also what came since it was asked. */
    L19_DECLARE_ALL(2, "assertion violated S5_missing_only_if_gone"),
    /** L-23d: a store that was kept, and acknowledgements count up to the last number sent. */
    L23_LAST_SENT(2, "acceptance cycle"),
    /** L-27b: asked once, and again only if a damaged line was seen. */
    L27_ONCE_IF_UNDAMAGED(2, "assertion violated S5_missing_only_if_gone"),
    /** L-16e: a bridge that starts again uses the same {@code req} again. */
    L16_REQ_FROM_ONE(3, "acceptance cycle");

    private final int faults;
    private final String finding;

    Run(int faults, String finding) {
      this.faults = faults;
      this.finding = finding;
    }

    /** What is easily misread; what the rules must never lose is checked everywhere. */
    private boolean onBuildServer() {
      return this == RESEND_BEYOND_AFTER || name().matches("L[0-9]+_.*");
    }

    private boolean weakened() {
      return !finding.isEmpty();
    }

    private boolean liveness() {
      return this == LIVENESS || finding.equals("acceptance cycle");
    }
  }

  @BeforeAll
  static void start() {
    for (String program : PROGRAMS) {
      boolean there = onPath(program);
      if (!there && BUILD_SERVER) {
        fail(program + " is needed on the build server");
      }
      Assumptions.assumeTrue(there, program + " is not installed");
    }
    for (Run run : Run.values()) {
      if (BUILD_SERVER || !run.onBuildServer()) {
        REPORTS.put(run, RUNS.submit(() -> check(run)));
      }
    }
  }

  @AfterAll
  static void stop() throws InterruptedException {
    RUNS.shutdownNow();
    assertTrue(RUNS.awaitTermination(10, TimeUnit.SECONDS));
  }

  @ParameterizedTest
  @EnumSource(Run.class)
  @DisplayName("L-14 to L-27: the rules deliver; a rule that is weakened does not")
  void model(Run run) throws Exception {
    Assumptions.assumeTrue(REPORTS.containsKey(run), "only with CI=true: half of the time");
    String report =
        Objects.requireNonNull(REPORTS.get(run))
            .get(3 * SECONDS_EACH * Run.values().length, TimeUnit.SECONDS);
    System.out.printf(
        "%s, at most %d faults: %s states, %s%n",
        run, run.faults, first(STATES, report), run.weakened() ? run.finding : "no error");
    if (run.weakened()) {
      assertNotEquals("0", first(ERRORS, report), report);
      assertEquals(run.finding, first(FINDING, report), report);
    } else {
      assertEquals("0", first(ERRORS, report), report);
      // a search that was cut short is no proof
      assertTrue(
          Stream.of("Search not completed", "max search depth too small", "out of memory")
              .noneMatch(report::contains),
          report);
    }
  }

  /** Makes the checker, compiles it and lets it search; returns what it says. */
  private static String check(Run run) throws Exception {
    Path work = Files.createDirectory(folder.resolve(run.name()));
    List<String> make = new ArrayList<>(List.of("spin", "-a", "-DFAULTS=" + run.faults));
    if (run.weakened()) {
      make.add("-D" + run.name());
    }
    make.add(MODEL.toString());
    run(work, make);
    List<String> compile =
        new ArrayList<>(List.of("gcc", "-O0", "-pipe", "-w", "-o", "pan", "pan.c"));
    // a run of safety also finds where both ends stand still before everything is delivered
    compile.addAll(run.liveness() ? List.of("-DNFAIR=3") : List.of("-DSAFETY", "-DNOCLAIM"));
    run(work, compile);
    List<String> search = new ArrayList<>(List.of("./pan", "-m100000", "-w20"));
    if (run.liveness()) {
      search.addAll(List.of("-a", "-f"));
    } else if (run.weakened()) {
      search.add("-E"); // the named rule is to be broken, not just nothing more to happen
    }
    return run(work, search);
  }

  private static String run(Path work, List<String> command) throws Exception {
    Path output = work.resolve("output.txt");
    Process process =
        new ProcessBuilder(command)
            .directory(work.toFile())
            .redirectErrorStream(true)
            .redirectOutput(output.toFile())
            .start();
    try {
      assertTrue(
          process.waitFor(SECONDS_EACH, TimeUnit.SECONDS),
          () -> "not ended in %d s: %s".formatted(SECONDS_EACH, command));
      String said = read(output);
      assertEquals(0, process.exitValue(), () -> command + ": " + said);
      return said;
    } finally {
      process.descendants().forEach(ProcessHandle::destroyForcibly);
      process.destroyForcibly();
    }
  }

  private static String read(Path file) throws IOException {
    return Files.readString(file, StandardCharsets.UTF_8);
  }

  private static String first(Pattern pattern, String text) {
    Matcher matcher = pattern.matcher(text);
    return matcher.find() ? matcher.group(1) : "none";
  }

  private static boolean onPath(String program) {
    String path = System.getenv().getOrDefault("PATH", "");
    return Stream.of(path.split(Pattern.quote(File.pathSeparator), -1))
        .anyMatch(place -> Files.isExecutable(Path.of(place, program)));
  }
}
