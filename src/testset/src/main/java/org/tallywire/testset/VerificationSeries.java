package org.tallywire.testset;

import java.math.BigDecimal;
import java.util.ArrayList;
import java.util.List;
import org.tallywire.acceptance.control.ControlChart;
import org.tallywire.acceptance.control.Individuals;
import org.tallywire.acceptance.control.WeightedAverage;
import org.tallywire.api.Quantity;

/**
 * The verifications of one instrument with one standard in the order they were recorded, and what
 * their deviations say together. Those with another standard are another series, since each
 * standard is off by something of its own.
 *
 * <p>Centre and limits come from the first 20 deviations, or from all while they are fewer; below 5
 * there is no chart (both practice). The weighted average takes λ = 0.3 and 3 standard deviations.
 *
 * @param verifications at least one
 */
public record VerificationSeries(
    Quantity quantity,
    String standard,
    String serial,
    List<InstrumentEvent.Verified> verifications) {

  private static final int FEWEST = 5;
  private static final int BASIS = 20;
  private static final WeightedAverage AVERAGE =
      new WeightedAverage(new BigDecimal("0.3"), BigDecimal.valueOf(3));

  public VerificationSeries {
    verifications = List.copyOf(verifications);
  }

  /** Returns the verifications that came to a number. */
  public List<InstrumentEvent.Verified> numbered() {
    return verifications.stream().filter(one -> one.deviation().isPresent()).toList();
  }

  /** Returns the deviations, in the unit of their limit. */
  public List<BigDecimal> deviations() {
    return numbered().stream().flatMap(one -> one.deviation().stream()).toList();
  }

  /**
   * Returns the chart of the deviations and that of their weighted average; none of fewer than 5,
   * or where those that the limits come from are all the same.
   */
  public List<ControlChart> charts() {
    List<BigDecimal> deviations = deviations();
    if (deviations.size() < FEWEST) {
      return List.of();
    }
    Individuals basis = Individuals.of(deviations.subList(0, basis()));
    if (basis.meanRange().signum() == 0) {
      return List.of();
    }
    return List.of(
        basis.figures(deviations),
        AVERAGE.chart(
            deviations, basis.mean(), basis.standardDeviation(), WeightedAverage.Limits.EXACT));
  }

  /** Returns how many deviations the limits come from. */
  public int basis() {
    return Math.min(BASIS, deviations().size());
  }

  /** Returns what the deviations say together, a sentence each. */
  public List<String> sentences() {
    int count = deviations().size();
    if (count < FEWEST) {
      return List.of(
          "No control chart: it needs %d verifications, here are %d.".formatted(FEWEST, count));
    }
    List<String> sentences = new ArrayList<>();
    charts().forEach(chart -> sentences.add(chart.sentence() + "."));
    if (sentences.isEmpty()) {
      return List.of(
          "No control chart: the first %d deviations are all the same.".formatted(basis()));
    }
    sentences.add(
        "Centre and limits come from the first %d verifications%s."
            .formatted(
                basis(), count < BASIS ? "; they will be firm from %d on".formatted(BASIS) : ""));
    return sentences;
  }
}
