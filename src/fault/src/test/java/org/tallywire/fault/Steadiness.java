package org.tallywire.fault;

import java.util.ArrayList;
import java.util.Arrays;
import java.util.List;
import java.util.Locale;
import java.util.Map;
import java.util.Optional;
import java.util.TreeMap;
import java.util.function.ToDoubleFunction;

/**
 * Judges whether a process stays as it is. By the line of least squares through the second half of
 * the samples, or where the figure moves in steps by two medians, that of the last fifth against
 * that of the second one, and where it comes in rounds by two means.
 */
final class Steadiness {

  private static final double MEGABYTE = 1 << 20;
  private static final double HOUR = 3600;
  private static final double MINUTE = 60;
  private static final int FIFTHS = 5;

  private final List<Sample> samples;

  /** Samples in the order in which they were taken, two at least. */
  Steadiness(List<Sample> samples) {
    this.samples = List.copyOf(samples);
  }

  /** What is looked at, and how still it has to be. */
  private record Figure(String name, String unit, ToDoubleFunction<Sample> of, Rule rule) {}

  private static final List<Figure> FIGURES =
      List.of(
          new Figure("live heap", "MB", s -> s.heap() / MEGABYTE, new Rule.Flat(0.10)),
          new Figure("resident memory", "MB", s -> s.resident() / MEGABYTE, new Rule.Flat(0.05)),
          new Figure("threads", "", Sample::threads, new Rule.Level(0, 1)),
          new Figure("open files", "", Sample::descriptors, new Rule.Level(0, 1)),
          new Figure("journal", "MB", s -> s.journal() / MEGABYTE, new Rule.Grows()),
          new Figure("write-ahead log", "MB", s -> s.log() / MEGABYTE, new Rule.Level(4, 0)),
          new Figure("readings received", "1/s", Sample::rate, new Rule.Kept(0.20)),
          new Figure("journalled, not received for", "s", Sample::delay, new Rule.Level(1, 0)));

  /** How still a figure has to be. */
  sealed interface Rule {

    /**
     * Its line through the second half, drawn out to the whole length, moves by less of its mean.
     */
    record Flat(double share) implements Rule {}

    /**
     * Its median of the last fifth is at most so much above that of the second fifth.
     *
     * @param more so much
     * @param each and so much for each link that may be down at a moment of the two fifths
     */
    record Level(double more, double each) implements Rule {}

    /**
     * Its mean of the last fifth differs from that of the second fifth by less of it. For what
     * comes and goes in rounds; said of fifths of a minute or more alone.
     */
    record Kept(double share) implements Rule {}

    /** It grows, with what it holds. */
    record Grows() implements Rule {}
  }

  /**
   * Returns a sentence for every figure that does not hold still; steps alone, or lines as well.
   */
  List<String> unsteady(boolean lines) {
    List<String> found = new ArrayList<>();
    for (Figure figure : FIGURES) {
      if (figure.rule instanceof Rule.Flat flat && lines) {
        drift(figure, flat).ifPresent(found::add);
      } else if (figure.rule instanceof Rule.Level level) {
        step(figure, level).ifPresent(found::add);
      } else if (figure.rule instanceof Rule.Kept kept && length() >= FIFTHS * MINUTE) {
        change(figure, kept).ifPresent(found::add);
      }
    }
    return found;
  }

  private Optional<String> drift(Figure figure, Rule.Flat flat) {
    double[][] half = points(figure, samples.size() / 2, samples.size());
    double mean = mean(half[1]);
    double moved = slope(half) * length();
    // negated, so that a figure that was never measured is no steady one
    if (!(Math.abs(moved) < flat.share * mean)) {
      return Optional.of(
          "%s: drifts by %.2f %s over the whole length, %.1f %% of its mean %.2f; less than %.0f %% is steady"
              .formatted(
                  figure.name, moved, figure.unit, 100 * moved / mean, mean, 100 * flat.share));
    }
    return Optional.empty();
  }

  private Optional<String> step(Figure figure, Rule.Level level) {
    int fifth = Math.max(1, samples.size() / FIFTHS);
    int end = samples.size() - fifth;
    double early = median(points(figure, fifth, 2 * fifth)[1]);
    double late = median(points(figure, end, samples.size())[1]);
    int down = Math.max(down(fifth, 2 * fifth), down(end, samples.size()));
    double allowed = level.more + level.each * down;
    if (!(late - early <= allowed)) {
      return Optional.of(
          "%s: median %.1f %s in the second fifth, %.1f in the last; %.1f more are allowed, with up to %d links down%s"
              .formatted(figure.name, early, figure.unit, late, allowed, down, grown(fifth)));
    }
    return Optional.empty();
  }

  private Optional<String> change(Figure figure, Rule.Kept kept) {
    int fifth = samples.size() / FIFTHS;
    double early = mean(points(figure, fifth, 2 * fifth)[1]);
    double late = mean(points(figure, samples.size() - fifth, samples.size())[1]);
    if (!(Math.abs(late - early) < kept.share * early)) {
      return Optional.of(
          "%s: mean %.1f %s in the second fifth, %.1f in the last; they may differ by less than %.0f %%"
              .formatted(figure.name, early, figure.unit, late, 100 * kept.share));
    }
    return Optional.empty();
  }

  private static double mean(double[] values) {
    return Arrays.stream(values).average().orElse(Double.NaN);
  }

  /** Returns which threads and files the last sample has more of than an early one. */
  private Map<String, Integer> grown(int early) {
    Map<String, Integer> more = new TreeMap<>();
    samples.get(samples.size() - 1).kinds().forEach((kind, count) -> more.put(kind, count));
    samples.get(early).kinds().forEach((kind, count) -> more.merge(kind, -count, Integer::sum));
    more.values().removeIf(count -> count <= 0);
    return more;
  }

  private int down(int from, int to) {
    return samples.subList(from, to).stream().mapToInt(Sample::down).max().orElse(0);
  }

  private double length() {
    return samples.get(samples.size() - 1).at() - samples.get(0).at();
  }

  /** Returns least, median, greatest, and the slope of the second half, of every figure. */
  List<String> table() {
    List<String> lines = new ArrayList<>();
    lines.add("| | unit | least | median | greatest | slope per hour | in the whole length |");
    lines.add("|---|---|--:|--:|--:|--:|--:|");
    for (Figure figure : FIGURES) {
      double[] all = points(figure, 0, samples.size())[1];
      double slope = slope(points(figure, samples.size() / 2, samples.size()));
      lines.add(
          String.format(
              Locale.ROOT,
              "| %s | %s | %.2f | %.2f | %.2f | %+.2f | %+.2f |",
              figure.name,
              figure.unit,
              Arrays.stream(all).min().orElse(Double.NaN),
              median(all),
              Arrays.stream(all).max().orElse(Double.NaN),
              slope * HOUR,
              slope * length()));
    }
    return lines;
  }

  /** Returns times and values of a figure where it was measured. */
  private double[][] points(Figure figure, int from, int to) {
    List<Sample> measured =
        samples.subList(from, to).stream()
            .filter(sample -> !Double.isNaN(figure.of.applyAsDouble(sample)))
            .toList();
    return new double[][] {
      measured.stream().mapToDouble(Sample::at).toArray(),
      measured.stream().mapToDouble(figure.of).toArray()
    };
  }

  private static double median(double[] values) {
    double[] sorted = values.clone();
    Arrays.sort(sorted);
    int middle = sorted.length / 2;
    if (sorted.length == 0) {
      return Double.NaN;
    }
    return sorted.length % 2 == 1 ? sorted[middle] : (sorted[middle - 1] + sorted[middle]) / 2;
  }

  /** Returns the slope of the line of least squares, in units a second. */
  private static double slope(double[][] points) {
    double[] times = points[0];
    double[] values = points[1];
    double meanTime = mean(times);
    double meanValue = mean(values);
    double above = 0;
    double below = 0;
    for (int i = 0; i < times.length; i++) {
      above += (times[i] - meanTime) * (values[i] - meanValue);
      below += (times[i] - meanTime) * (times[i] - meanTime);
    }
    return above / below;
  }
}
