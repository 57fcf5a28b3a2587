package org.tallywire.report;

import java.util.ArrayList;
import java.util.LinkedHashSet;
import java.util.List;
import java.util.Locale;
import java.util.Set;

/**
 * Points over named places, with lines for the limits: boxes that any reader of pages can place, so
 * that page and PDF show the same. A phase is told by its letter. Figures only place a mark here;
 * the digits stand in the tables. Used by one thread.
 */
final class Plot {

  private static final double HEIGHT = 96;
  private static final double WIDTH = 420;
  private static final double LEFT = 58;
  private static final double LARGEST_MARK = 11;
  private static final double SMALLEST_MARK = 5;
  private static final double WIDEST_PLACE = 34;
  private static final double LABEL = 12;

  /**
   * A point.
   *
   * @param place along the plot, for example a tap
   * @param letter the phase
   * @param bad whether it stands out
   */
  record Point(String place, String letter, double value, boolean bad) {}

  private final String title;
  private final String unit;
  private final List<Point> points = new ArrayList<>();
  private final Set<Double> lines = new LinkedHashSet<>();
  private boolean fromZero;

  Plot(String title, String unit) {
    this.title = title;
    this.unit = unit;
  }

  void point(Point point) {
    points.add(point);
  }

  void limit(double at) {
    lines.add(at);
  }

  Plot fromZero() {
    fromZero = true;
    return this;
  }

  boolean empty() {
    return points.isEmpty();
  }

  void write(Markup page) {
    double low = fromZero ? 0 : Double.POSITIVE_INFINITY;
    double high = Double.NEGATIVE_INFINITY;
    for (Point point : points) {
      low = Math.min(low, point.value());
      high = Math.max(high, point.value());
    }
    for (double line : lines) {
      low = Math.min(low, line);
      high = Math.max(high, line);
    }
    double around = high > low ? (high - low) * 0.12 : Math.max(Math.abs(high) * 0.05, 1e-9);
    low = fromZero ? 0 : low - around;
    high += around;
    Set<String> places = new LinkedHashSet<>();
    points.forEach(point -> places.add(point.place()));
    page.open("div", "plot")
        .element("p", "caption", title)
        .raw(box("frame", LEFT, 0, WIDTH - LEFT, HEIGHT, "", "border:0.5pt solid #777;"));
    scale(page, low, high);
    List<String> columns = List.copyOf(places);
    for (Point point : points) {
      mark(page, point, columns, low, high);
    }
    double slot = (WIDTH - LEFT) / columns.size();
    int every = (int) Math.ceil(WIDEST_PLACE / slot);
    for (int i = 0; i < columns.size(); i += every) {
      page.raw(
          box(
              "place",
              LEFT + i * slot - (every - 1) * slot / 2,
              HEIGHT + 2,
              slot * every,
              LABEL,
              Markup.escaped(columns.get(i)),
              ""));
    }
    page.close("div");
  }

  private void scale(Markup page, double low, double high) {
    double before = Double.NEGATIVE_INFINITY;
    for (double line : lines.stream().sorted().toList()) {
      page.raw(
          box(
              "limit",
              LEFT,
              y(line, low, high),
              WIDTH - LEFT,
              0,
              "",
              "border-top:0.8pt dashed #333;"));
      before = label(page, line, low, high, before);
    }
    if (lines.isEmpty()) {
      Ticks.of(low, high).forEach(tick -> label(page, tick, low, high, Double.NEGATIVE_INFINITY));
    } else if (low < 0 && high > 0) {
      page.raw(
          box("zero", LEFT, y(0, low, high), WIDTH - LEFT, 0, "", "border-top:0.4pt solid #bbb;"));
      label(page, 0, low, high, Double.NEGATIVE_INFINITY);
    }
  }

  private double label(Markup page, double value, double low, double high, double before) {
    double y = y(value, low, high);
    if (Math.abs(y - before) < LABEL) {
      return before;
    }
    page.raw(
        box(
            "tick",
            0,
            y - LABEL / 2,
            LEFT - 4,
            LABEL,
            Markup.escaped((Ticks.text(value).replace('-', '−') + " " + unit).strip()),
            ""));
    return y;
  }

  private void mark(Markup page, Point point, List<String> columns, double low, double high) {
    double slot = (WIDTH - LEFT) / columns.size();
    double size = Math.max(SMALLEST_MARK, Math.min(LARGEST_MARK, slot / 3.4));
    int phase = point.letter().length() == 1 ? "ABC".indexOf(point.letter()) : 1;
    double x =
        LEFT
            + columns.indexOf(point.place()) * slot
            + slot * (0.5 + (phase - 1) * Math.min(0.3, 2.2 * size / slot));
    page.raw(
        box(
            point.bad() ? "mark bad" : "mark",
            x - size / 2,
            y(point.value(), low, high) - size / 2,
            size,
            size,
            Markup.escaped(point.letter().length() == 1 ? point.letter() : "•"),
            String.format(Locale.ROOT, "font-size:%.1fpt;line-height:%.1fpt;", size * 0.68, size)));
  }

  private static double y(double value, double low, double high) {
    return (high - value) / (high - low) * HEIGHT;
  }

  private static String box(
      String style, double x, double y, double width, double height, String inner, String more) {
    return String.format(
        Locale.ROOT,
        "<div class=\"%s\" style=\"left:%.1fpt;top:%.1fpt;width:%.1fpt;height:%.1fpt;%s\">%s</div>\n",
        style,
        x,
        y + LABEL + 4,
        width,
        height,
        more,
        inner);
  }
}
