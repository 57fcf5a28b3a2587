package org.tallywire.bridge;

import java.util.List;
import java.util.Locale;
import org.tallywire.testset.StepHistory;

/**
 * The values of up to three phases over time as one SVG. Phases differ by colour and by mark. What
 * cannot be compared is not drawn.
 */
final class DriftPlot {

  private static final double WIDTH = 640;
  private static final double HEIGHT = 220;
  private static final double LEFT = 84;
  private static final double RIGHT = 40;
  private static final double TOP = 16;
  private static final double BOTTOM = 34;
  private static final double MARK = 4.5;
  private static final int TICKS = 4;

  private final List<StepHistory> phases;
  private final StringBuilder svg = new StringBuilder();
  private double first = Double.POSITIVE_INFINITY;
  private double last = Double.NEGATIVE_INFINITY;
  private double lowest = Double.POSITIVE_INFINITY;
  private double highest = Double.NEGATIVE_INFINITY;

  private DriftPlot(List<StepHistory> phases) {
    this.phases = phases;
  }

  /** Returns the plot, or nothing if there is no value to draw. */
  static String of(String title, List<StepHistory> phases) {
    DriftPlot plot = new DriftPlot(phases);
    phases.forEach(phase -> plot.comparable(phase).forEach(plot::widen));
    return Double.isFinite(plot.first) ? plot.draw(title) : "";
  }

  private List<StepHistory.Point> comparable(StepHistory phase) {
    return phase.points().stream().filter(StepHistory.Point::comparable).toList();
  }

  private void widen(StepHistory.Point point) {
    double at = point.at().toEpochMilli();
    double value = point.value().doubleValue();
    first = Math.min(first, at);
    last = Math.max(last, at);
    lowest = Math.min(lowest, value);
    highest = Math.max(highest, value);
  }

  private String draw(String title) {
    double spread = highest - lowest;
    double around = spread > 0 ? spread * 0.15 : Math.max(Math.abs(highest) * 0.001, 1e-9);
    lowest -= around;
    highest += around;
    append(
        "<svg viewBox=\"0 0 %.0f %.0f\" role=\"img\" aria-label=\"%s\">\n",
        WIDTH, HEIGHT, DriftPage.escaped(title));
    grid();
    dates();
    for (StepHistory phase : phases) {
      series(phase);
    }
    return svg.append("</svg>\n").toString();
  }

  private void append(String format, Object... parts) {
    svg.append(String.format(Locale.ROOT, format, parts));
  }

  private double x(double at) {
    double share = last > first ? (at - first) / (last - first) : 0.5;
    return LEFT + share * (WIDTH - LEFT - RIGHT);
  }

  private double x(StepHistory.Point point) {
    return x((double) point.at().toEpochMilli());
  }

  private double y(double value) {
    return TOP + (highest - value) / (highest - lowest) * (HEIGHT - TOP - BOTTOM);
  }

  /** Lines at round numbers: 1, 2 or 5 times a power of ten apart. */
  private void grid() {
    double rough = (highest - lowest) / TICKS;
    double power = Math.pow(10, Math.floor(Math.log10(rough)));
    double ratio = rough / power;
    double step = power * (ratio < 1.5 ? 1 : ratio < 3.5 ? 2 : ratio < 7.5 ? 5 : 10);
    int decimals = Math.max(0, (int) Math.ceil(-Math.log10(step) - 1e-9));
    for (double tick = Math.ceil(lowest / step) * step; tick <= highest; tick += step) {
      double y = y(tick);
      append(
          "<line class=\"grid\" x1=\"%.1f\" y1=\"%.1f\" x2=\"%.1f\" y2=\"%.1f\"/>\n",
          LEFT, y, WIDTH - RIGHT, y);
      append(
          "<text x=\"%.1f\" y=\"%.1f\" text-anchor=\"end\">%."
              + Math.min(decimals, 12)
              + "f</text>\n",
          LEFT - 8,
          y + 4,
          tick);
    }
  }

  private void dates() {
    double y = HEIGHT - 10;
    append(
        "<text x=\"%.1f\" y=\"%.1f\" text-anchor=\"%s\">%s</text>\n",
        x(first), y, last > first ? "start" : "middle", day(first));
    if (!day(last).equals(day(first))) {
      append("<text x=\"%.1f\" y=\"%.1f\" text-anchor=\"end\">%s</text>\n", x(last), y, day(last));
    }
  }

  private static String day(double at) {
    return AssetText.day(java.time.Instant.ofEpochMilli((long) at));
  }

  private void series(StepHistory phase) {
    List<StepHistory.Point> points = comparable(phase);
    if (points.isEmpty()) {
      return;
    }
    String word = "p" + (phase.phase().matches("[BC]") ? phase.phase() : "A");
    StringBuilder line = new StringBuilder();
    for (StepHistory.Point point : points) {
      line.append(
          String.format(Locale.ROOT, "%.1f,%.1f ", x(point), y(point.value().doubleValue())));
    }
    append("<polyline class=\"%s\" points=\"%s\"/>\n", word, line.toString().strip());
    points.forEach(point -> mark(phase, word, point));
    StepHistory.Point end = points.get(points.size() - 1);
    append(
        "<text x=\"%.1f\" y=\"%.1f\">%s</text>\n",
        x(end) + 9, y(end.value().doubleValue()) + 4, DriftPage.escaped(phase.phase()));
  }

  /** Earlier results are hollow, those measured here are full. */
  private void mark(StepHistory phase, String word, StepHistory.Point point) {
    double x = x(point);
    double y = y(point.value().doubleValue());
    String style = "mark " + word + (point.imported() ? " hollow" : "");
    append(
        "<g><title>%s %s: %s %s, %s</title>",
        DriftPage.escaped(phase.phase()),
        AssetText.day(point.at()),
        AssetText.value(point),
        DriftPage.escaped(phase.unit().code()),
        DriftPage.escaped(point.from()));
    switch (word) {
      case "pB" ->
          append(
              "<rect class=\"%s\" x=\"%.1f\" y=\"%.1f\" width=\"%.1f\" height=\"%.1f\"/>",
              style, x - MARK, y - MARK, 2 * MARK, 2 * MARK);
      case "pC" ->
          append(
              "<polygon class=\"%s\" points=\"%.1f,%.1f %.1f,%.1f %.1f,%.1f\"/>",
              style, x, y - MARK - 1, x + MARK + 1, y + MARK, x - MARK - 1, y + MARK);
      default ->
          append("<circle class=\"%s\" cx=\"%.1f\" cy=\"%.1f\" r=\"%.1f\"/>", style, x, y, MARK);
    }
    svg.append("</g>\n");
  }
}
