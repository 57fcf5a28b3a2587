package org.tallywire.acceptance;

import java.math.BigDecimal;
import java.util.List;
import java.util.concurrent.TimeUnit;
import org.openjdk.jmh.annotations.Benchmark;
import org.openjdk.jmh.annotations.BenchmarkMode;
import org.openjdk.jmh.annotations.Fork;
import org.openjdk.jmh.annotations.Measurement;
import org.openjdk.jmh.annotations.Mode;
import org.openjdk.jmh.annotations.OutputTimeUnit;
import org.openjdk.jmh.annotations.Scope;
import org.openjdk.jmh.annotations.State;
import org.openjdk.jmh.annotations.Warmup;
import org.tallywire.api.RecordId;

/**
 * How many readings are judged in a second on one core. The baselines of the same run are the parts
 * that no verdict can do without: the exact deviation, and the digest that is its identity.
 */
@State(Scope.Thread)
@BenchmarkMode(Mode.Throughput)
@OutputTimeUnit(TimeUnit.SECONDS)
@Warmup(iterations = 3, time = 2)
@Measurement(iterations = 5, time = 2)
@Fork(1)
public class JudgingBenchmark {

  private final Nameplate plate = Samples.dyn11();
  private final Step step = Samples.step(plate, "turns-ratio/HV-LV/A/3");
  private final BookedReading passing =
      Samples.booked(step, 1, Samples.ratioValues("44.0240", "4.31"));
  private final BookedReading failing =
      Samples.booked(step, 1, Samples.ratioValues("44.4240", "4.31"));
  private final Examiner ratioAlone =
      new Examiner("set-1", plate, Samples.table(Samples.ratioDeviation("0.5", true)));
  private final Examiner wholeTable = new Examiner("set-1", plate, Samples.table());
  private final Evidence onePass = Samples.evidence(List.of(passing));
  private final Evidence oneFail = Samples.evidence(List.of(failing));
  private final BigDecimal expected = step.expected().orElseThrow();
  private final String[] identity = {
    "ratio-deviation", step.id(), "invented", "7", "0".repeat(64), "2", "bay-2:e1:1:0", "booking:1"
  };

  /** One simple ratio verdict: within its limit. */
  @Benchmark
  public List<Verdict> ratioPasses() {
    return ratioAlone.examine(passing, onePass);
  }

  /** One ratio verdict beyond its limit, with its findings. */
  @Benchmark
  public List<Verdict> ratioFails() {
    return ratioAlone.examine(failing, oneFail);
  }

  /** Everything that one ratio reading makes possible. */
  @Benchmark
  public List<Verdict> everyRatioCriterion() {
    return wholeTable.examine(passing, onePass);
  }

  /** Baseline: the exact deviation and nothing else. */
  @Benchmark
  public BigDecimal baselineDeviation() {
    return Figures.percent(new BigDecimal("44.0240"), expected);
  }

  /** Baseline: the identity of a verdict and nothing else. */
  @Benchmark
  public String baselineIdentity() {
    return RecordId.derived("verdict", identity);
  }
}
