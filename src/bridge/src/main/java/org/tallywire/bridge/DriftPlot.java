package org.tallywire.bridge;

import java.util.Comparator;
import java.util.List;
import java.util.Locale;
import org.tallywire.testset.StepHistory;

/**
 * The values of up to three phases over the days as one SVG. Phases differ by colour and by mark.
 * What cannot be compared is not drawn, and nothing where all is of one day.
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
  private static final int DAY = 86_400;
  private static final double LINE = 13;

  private final List<StepHistory> phases;
  private final StringBuilder svg = new StringBuilder();
  private double first = Double.POSITIVE_INFINITY;
  private double last = Double.NEGATIVE_INFINITY;
  private double lowest = Double.POSITIVE_INFINITY;
  private double highest = Double.NEGATIVE_INFINITY;

  private DriftPlot(List<StepHistory> phases) {
    this.phases = phases;
  }

  /** Returns the plot, or nothing if there are not two days to draw. */
  static String of(String title, List<StepHistory> phases) {
    DriftPlot plot = new DriftPlot(phases);
    phases.forEach(phase -> plot.comparable(phase).forEach(plot::widen));
    return plot.last > plot.first ? plot.draw(title) : "";
  }

  private List<StepHistory.Point> comparable(StepHistory phase) {
    return phase.points().stream().filter(StepHistory.Point::comparable).toList();
  }

  private void widen(StepHistory.Point point) {
    double at = day(point);
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
    names();
    return svg.append("</svg>\n").toString();
  }

  private void append(String format, Object... parts) {
    svg.append(String.format(Locale.ROOT, format, parts));
  }

  private static double day(StepHistory.Point point) {
    return Math.floorDiv(point.at().getEpochSecond(), DAY);
  }

  private double x(double at) {
    return LEFT + (at - first) / (last - first) * (WIDTH - LEFT - RIGHT);
  }

  private double x(StepHistory.Point point) {
    return x(day(point));
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
    append("<text x=\"%.1f\" y=\"%.1f\">%s</text>\n", x(first), y, date(first));
    append("<text x=\"%.1f\" y=\"%.1f\" text-anchor=\"end\">%s</text>\n", x(last), y, date(last));
  }

  private static String date(double day) {
    return java.time.LocalDate.ofEpochDay((long) day).toString();
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
  }

  /** The phase behind its last mark, moved down where another stands already. */
  private void names() {
    double below = Double.NEGATIVE_INFINITY;
    List<StepHistory> ordered =
        phases.stream()
            .filter(phase -> !comparable(phase).isEmpty())
            .sorted(Comparator.comparingDouble(phase -> y(end(phase).value().doubleValue())))
            .toList();
    for (StepHistory phase : ordered) {
      double y = Math.max(y(end(phase).value().doubleValue()) + 4, below + LINE);
      append(
          "<text x=\"%.1f\" y=\"%.1f\">%s</text>\n",
          x(end(phase)) + 9, y, DriftPage.escaped(phase.phase()));
      below = y;
    }
  }

  private StepHistory.Point end(StepHistory phase) {
    List<StepHistory.Point> points = comparable(phase);
    return points.get(points.size() - 1);
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
