package org.tallywire.acceptance.winding;

import java.util.ArrayList;
import java.util.Arrays;
import java.util.Comparator;
import java.util.List;
import java.util.Set;
import java.util.stream.Collectors;
import org.tallywire.acceptance.winding.Drawing.Node;
import org.tallywire.acceptance.winding.Leads.Tie;

/** Writes a sketch of leads for a terminal. */
final class LeadText {

  private static final int ROWS = 15;
  private static final int COLUMNS = 37;
  private static final int RADIUS = 5;

  private final LeadSketch sketch;
  private final Set<Winding> used;

  LeadText(LeadSketch sketch) {
    this.sketch = sketch;
    this.used = sketch.used();
  }

  String write() {
    StringBuilder text = new StringBuilder();
    line(text, sketch.title());
    line(text, "  " + sketch.iec() + "   (IEEE " + sketch.ieee() + ")");
    List<List<String>> pictures = sketch.sides().stream().map(this::picture).toList();
    for (int row = 0; row < ROWS; row++) {
      StringBuilder cells = new StringBuilder("  ");
      for (List<String> picture : pictures) {
        cells.append(picture.get(row)).append(' ');
      }
      if (!cells.toString().isBlank()) {
        line(text, cells.toString());
      }
    }
    line(text, "  # what lies between the clips; o a terminal; . a point inside");
    sketch
        .placed()
        .forEach(
            placed ->
                line(
                    text,
                    "  [%s] %-12s on %-4s (%s)"
                        .formatted(
                            placed.getKey().letters(),
                            placed.getKey().words(),
                            placed.getValue().iec(),
                            placed.getValue().ieee())));
    for (Tie tie : sketch.ties()) {
      line(
          text,
          "  tie  %s with %s (%s with %s)"
              .formatted(tie.one().iec(), tie.other().iec(), tie.one().ieee(), tie.other().ieee()));
    }
    return text.toString();
  }

  private static void line(StringBuilder text, String line) {
    text.append(line.stripTrailing()).append('\n');
  }

  private List<String> picture(boolean hv) {
    char[][] grid = new char[ROWS][COLUMNS];
    for (char[] row : grid) {
      Arrays.fill(row, ' ');
    }
    for (Winding winding : sketch.windings(hv)) {
      draw(grid, winding);
    }
    String side = hv ? "HV" : "LV";
    write(grid, 0, 0, side);
    for (Node node : sketch.nodes(hv)) {
      grid[row(node)][column(node)] = node.accessible() ? 'o' : '.';
    }
    for (Node node : sketch.nodes(hv)) {
      if (node.accessible()) {
        label(grid, node);
      }
    }
    return Arrays.stream(grid).map(String::new).toList();
  }

  private static int row(Node node) {
    return ROWS / 2 - (int) Math.round(node.y().doubleValue() * RADIUS);
  }

  private static int column(Node node) {
    return COLUMNS / 2 + (int) Math.round(node.x().doubleValue() * RADIUS * 2);
  }

  /** Draws a winding: {@code #} where it lies between the clips, else lines of its direction. */
  private void draw(char[][] grid, Winding winding) {
    Node from = sketch.node(winding.from()).orElseThrow();
    Node to = sketch.node(winding.to()).orElseThrow();
    double rows = row(to) - row(from);
    double columns = column(to) - column(from);
    char direction = direction(rows, columns);
    int steps = (int) Math.max(Math.abs(rows), Math.abs(columns));
    for (int i = 0; i <= steps; i++) {
      int row = (int) Math.round(row(from) + rows * i / steps);
      int column = (int) Math.round(column(from) + columns * i / steps);
      grid[row][column] = used.contains(winding) ? '#' : direction;
    }
  }

  private static char direction(double rows, double columns) {
    if (Math.abs(columns) < Math.abs(rows) * 0.5) {
      return '|';
    }
    if (Math.abs(columns) > Math.abs(rows) * 5) {
      return '-';
    }
    return rows * columns > 0 ? '\\' : '/';
  }

  /** Puts a label to the nearest blank place, rather outward than inward. */
  private void label(char[][] grid, Node node) {
    List<Clip> clips = sketch.clips(node);
    String label =
        node.name()
            + (clips.isEmpty()
                ? ""
                : clips.stream().map(Clip::letters).collect(Collectors.joining(" ", "[", "]")));
    List<int[]> places = new ArrayList<>();
    for (int row = 0; row < ROWS; row++) {
      for (int column = 0; column + label.length() <= COLUMNS; column++) {
        if (blank(grid, row, column, label.length())) {
          places.add(new int[] {row, column});
        }
      }
    }
    int[] best =
        places.stream()
            .min(Comparator.comparingDouble(p -> cost(node, p[0], p[1], label.length())))
            .orElseThrow();
    write(grid, best[0], best[1], label);
  }

  private static double cost(Node node, int row, int column, int length) {
    int at = column(node);
    int nearest = Math.min(Math.max(at, column), column + length - 1);
    double rows = 2.0 * (row - row(node));
    double columns = nearest - at;
    double outward =
        -node.y().doubleValue() * rows
            + node.x().doubleValue() * (column + (length - 1) / 2.0 - at);
    double centre = Math.abs(column + (length - 1) / 2.0 - at);
    return rows * rows + columns * columns - 0.4 * outward + 0.05 * centre;
  }

  private static boolean blank(char[][] grid, int row, int column, int length) {
    for (int c = Math.max(0, column - 1); c <= Math.min(COLUMNS - 1, column + length); c++) {
      boolean beside = c == column - 1 || c == column + length;
      if (grid[row][c] != ' ' && !(beside && grid[row][c] == 'o')) {
        return false;
      }
    }
    return true;
  }

  private static void write(char[][] grid, int row, int column, String text) {
    for (int i = 0; i < text.length(); i++) {
      grid[row][column + i] = text.charAt(i);
    }
  }
}
