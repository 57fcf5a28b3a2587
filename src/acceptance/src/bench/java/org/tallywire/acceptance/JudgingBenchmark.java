package org.tallywire.acceptance;

import java.math.BigDecimal;
import java.util.ArrayList;
import java.util.List;
import java.util.Map;
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
import org.tallywire.acceptance.Criterion.Kind;
import org.tallywire.acceptance.figure.Percent;
import org.tallywire.api.Quantity;
import org.tallywire.api.Reading;
import org.tallywire.api.RecordId;
import org.tallywire.api.Unit;

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
  private final CriteriaTable groupTable =
      Samples.table(Samples.criterion(Kind.WINDING_GROUP, "0.2", Map.of("limit", "3")));
  private final Examiner groupAlone = new Examiner("set-1", plate, groupTable);
  private final Evidence oppositeGroup = Samples.evidence(inOpposition());
  private final BookedReading lastOfGroup =
      oppositeGroup.last("turns-ratio/HV-LV/C/3").orElseThrow();
  private final ResistanceStream stream = settled();
  private final BookedReading lastOfRun = stream.readings.get(Evidence.KEPT - 1);
  private final Examiner settlingAndDeviation =
      new Examiner(
          "set-1",
          ResistanceStream.PLATE,
          Samples.table(
              ResistanceStream.asked("0.1", "5"),
              Samples.criterion(Kind.RESISTANCE_DEVIATION, "0.1", Map.of("limit", "2"))));
  private final BigDecimal expected = step.expected().orElseThrow();
  private final String[] identity = {
    "ratio-deviation", step.id(), "invented", "7", "0".repeat(64), "2", "bay-2:e1:1:0", "booking:1"
  };

  private static ResistanceStream settled() {
    ResistanceStream stream = new ResistanceStream();
    stream.status = Reading.Status.OK;
    return stream.falling(0.25, 0.05, 4, 0, 3, Evidence.KEPT);
  }

  private List<BookedReading> inOpposition() {
    List<BookedReading> three = new ArrayList<>();
    for (String phase : Step.PHASES) {
      three.add(
          Samples.booked(
              Samples.step(plate, "turns-ratio/HV-LV/" + phase + "/3"),
              three.size(),
              Samples.value(Quantity.TURNS_RATIO, "44.00", Unit.ONE),
              Samples.value(Quantity.PHASE_DISPLACEMENT, "180", Unit.DEGREE)));
    }
    return three;
  }

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

  /** A winding group that does not fit, with the search for the mistake; its tap is known. */
  @Benchmark
  public List<Verdict> groupFails() {
    return groupAlone.examine(lastOfGroup, oppositeGroup);
  }

  /** The same by a new examiner, with nothing known of its tap. */
  @Benchmark
  public List<Verdict> groupFailsFirst() {
    return new Examiner("set-1", plate, groupTable).examine(lastOfGroup, oppositeGroup);
  }

  /** A resistance after twenty readings: whether it has settled, and its deviation. */
  @Benchmark
  public List<Verdict> resistanceSettles() {
    return settlingAndDeviation.examine(lastOfRun, Samples.evidence(stream.readings));
  }

  /** Baseline: the exact deviation and nothing else. */
  @Benchmark
  public BigDecimal baselineDeviation() {
    return Percent.off(new BigDecimal("44.0240"), expected);
  }

  /** Baseline: the identity of a verdict and nothing else. */
  @Benchmark
  public String baselineIdentity() {
    return RecordId.derived("verdict", identity);
  }
}
