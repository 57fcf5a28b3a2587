package org.tallywire.bridge;

import java.math.BigDecimal;
import java.util.List;
import java.util.Locale;
import org.tallywire.acceptance.control.ControlChart;
import org.tallywire.api.Instrument;
import org.tallywire.testset.InstrumentEvent;
import org.tallywire.testset.InstrumentHistory;
import org.tallywire.testset.VerificationSeries;

/**
 * Control charts as one SVG, one below the other, light or dark as the reader's screen is. A point
 * beyond its limits is a diamond with the word beside it, one within them a disc.
 */
final class ControlDrawing {

  private static final double WIDTH = 760;
  private static final double PANEL = 244;
  private static final double LEFT = 24;
  private static final double RIGHT = 140;
  private static final double TOP = 58;
  private static final double BOTTOM = 34;
  private static final double MARK = 4;
  private static final double DIAMOND = 6.5;
  private static final double LINE = 14;

  private static final String STYLE =
      """
      <style>
      svg { --ground: #fcfcfb; --ink: #0b0b0b; --faint: #52514e; --point: #2a78d6;
        --limit: #8a5a00; --bad: #b3261e; }
      @media (prefers-color-scheme: dark) { svg { --ground: #1a1a19; --ink: #fff;
        --faint: #c3c2b7; --point: #5b9dec; --limit: #e0a83a; --bad: #ff8a80; } }
      .ground { fill: var(--ground); }
      text { fill: var(--faint); font: 12px system-ui, sans-serif; }
      text.title { fill: var(--ink); font-weight: 600; }
      text.out { fill: var(--bad); font-weight: 600; }
      .limit, .centre, .series { fill: none; }
      .limit { stroke: var(--limit); stroke-width: 1.5; stroke-dasharray: 6 4; }
      .centre { stroke: var(--faint); stroke-width: 1; }
      .series { stroke: var(--point); stroke-width: 1.5; }
      .in { fill: var(--point); }
      .beyond { fill: var(--bad); }
      </style>
      """;

  private final StringBuilder svg = new StringBuilder();
  private double top;

  private ControlDrawing() {}

  /** Returns the drawing; empty text if there is no chart. */
  static String of(List<InstrumentHistory> histories) {
    ControlDrawing drawing = new ControlDrawing();
    for (InstrumentHistory history : histories) {
      for (VerificationSeries series : history.series()) {
        for (ControlChart chart : series.charts()) {
          drawing.panel(history.standing().instrument(), series, chart);
        }
      }
    }
    return drawing.svg.isEmpty() ? "" : drawing.whole();
  }

  private String whole() {
    String frame =
        String.format(
            Locale.ROOT,
            "<svg xmlns=\"http://www.w3.org/2000/svg\" viewBox=\"0 0 %.0f %.0f\" role=\"img\">%n"
                + "<title>Control charts</title>%n%s"
                + "<rect class=\"ground\" width=\"%.0f\" height=\"%.0f\"/>%n",
            WIDTH,
            top,
            STYLE,
            WIDTH,
            top);
    return frame + svg + "</svg>" + System.lineSeparator();
  }

  private void append(String format, Object... parts) {
    svg.append(String.format(Locale.ROOT, format, parts));
  }

  private void panel(Instrument instrument, VerificationSeries series, ControlChart chart) {
    Scale scale = Scale.of(chart, top);
    append(
        "<text class=\"title\" x=\"%.1f\" y=\"%.1f\">%s</text>%n",
        LEFT,
        top + 22,
        DriftPage.escaped(
            "%s %s, %s against %s (%s): %s of the deviation in %s"
                .formatted(
                    instrument.model(),
                    instrument.serial(),
                    series.quantity(),
                    series.standard(),
                    series.serial(),
                    chart.name(),
                    series.verifications().get(0).limitUnit())));
    limits(chart, scale);
    StringBuilder line = new StringBuilder();
    for (ControlChart.Point point : chart.points()) {
      line.append(
          String.format(
              Locale.ROOT, "%.1f,%.1f ", scale.x(point.number()), scale.y(point.value())));
    }
    append("<polyline class=\"series\" points=\"%s\"/>%n", line.toString().strip());
    List<InstrumentEvent.Verified> made = series.numbered();
    for (ControlChart.Point point : chart.points()) {
      mark(point, made.get(point.number() - 1), scale);
    }
    ends(made, scale);
    top += PANEL;
  }

  private void limits(ControlChart chart, Scale scale) {
    StringBuilder upper = new StringBuilder();
    StringBuilder lower = new StringBuilder();
    for (ControlChart.Point point : chart.points()) {
      double left = scale.x(point.number() - 0.5);
      double right = scale.x(point.number() + 0.5);
      double high = scale.y(point.upper());
      double low = scale.y(point.lower());
      upper.append(String.format(Locale.ROOT, "%.1f,%.1f %.1f,%.1f ", left, high, right, high));
      lower.append(String.format(Locale.ROOT, "%.1f,%.1f %.1f,%.1f ", left, low, right, low));
    }
    append("<polyline class=\"limit\" points=\"%s\"/>%n", upper.toString().strip());
    append("<polyline class=\"limit\" points=\"%s\"/>%n", lower.toString().strip());
    double centre = scale.y(chart.centre());
    append(
        "<line class=\"centre\" x1=\"%.1f\" y1=\"%.1f\" x2=\"%.1f\" y2=\"%.1f\"/>%n",
        LEFT, centre, WIDTH - RIGHT, centre);
    ControlChart.Point last = chart.points().get(chart.points().size() - 1);
    double high = Math.min(scale.y(last.upper()), centre - LINE);
    double low = Math.max(scale.y(last.lower()), centre + LINE);
    label("upper limit", last.upper(), high);
    label("centre", chart.centre(), centre);
    label("lower limit", last.lower(), low);
  }

  private void label(String word, BigDecimal figure, double y) {
    append(
        "<text x=\"%.1f\" y=\"%.1f\">%s %s</text>%n",
        WIDTH - RIGHT + 8, y + 4, word, InstrumentText.plain(figure));
  }

  private void mark(ControlChart.Point point, InstrumentEvent.Verified made, Scale scale) {
    double x = scale.x(point.number());
    double y = scale.y(point.value());
    append(
        "<g><title>no. %d, %s: %s, %s</title>",
        point.number(),
        AssetText.day(made.at()),
        InstrumentText.plain(point.value()),
        point.out() ? "beyond the limit" : "within the limits");
    if (point.out()) {
      append(
          "<polygon class=\"beyond\" points=\"%.1f,%.1f %.1f,%.1f %.1f,%.1f %.1f,%.1f\"/>",
          x, y - DIAMOND, x + DIAMOND, y, x, y + DIAMOND, x - DIAMOND, y);
      append(
          "<text class=\"out\" x=\"%.1f\" y=\"%.1f\" text-anchor=\"middle\">out</text>",
          x, y - DIAMOND - 4);
    } else {
      append("<circle class=\"in\" cx=\"%.1f\" cy=\"%.1f\" r=\"%.1f\"/>", x, y, MARK);
    }
    append("</g>%n");
  }

  private void ends(List<InstrumentEvent.Verified> made, Scale scale) {
    double y = top + PANEL - 10;
    append(
        "<text x=\"%.1f\" y=\"%.1f\">no. 1, %s</text>%n", LEFT, y, AssetText.day(made.get(0).at()));
    append(
        "<text x=\"%.1f\" y=\"%.1f\" text-anchor=\"end\">no. %d, %s</text>%n",
        scale.x(made.size() + 0.5), y, made.size(), AssetText.day(made.get(made.size() - 1).at()));
  }

  /** Where a point of a chart stands in the drawing. */
  private record Scale(double top, int count, double lowest, double highest) {

    static Scale of(ControlChart chart, double top) {
      double lowest = Double.POSITIVE_INFINITY;
      double highest = Double.NEGATIVE_INFINITY;
      for (ControlChart.Point point : chart.points()) {
        lowest = Math.min(lowest, point.lower().min(point.value()).doubleValue());
        highest = Math.max(highest, point.upper().max(point.value()).doubleValue());
      }
      return new Scale(top, chart.points().size(), lowest, highest);
    }

    double x(double number) {
      return LEFT + (number - 0.5) / count * (WIDTH - LEFT - RIGHT);
    }

    double y(BigDecimal value) {
      double part = (highest - value.doubleValue()) / (highest - lowest);
      return top + TOP + part * (PANEL - TOP - BOTTOM);
    }
  }
}
