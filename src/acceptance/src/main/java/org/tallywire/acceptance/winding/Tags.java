package org.tallywire.acceptance.winding;

import java.util.ArrayList;
import java.util.List;

/**
 * Finds places for tags beside points of a picture, so that none covers a line or another tag.
 * Lengths are in pixels, y downward.
 */
final class Tags {

  private static final double APART = 4;
  private static final int DIRECTIONS = 48;
  private static final double NEAREST = 15;
  private static final double FARTHEST = 90;

  /** How much nearer a place may be that is not outward. */
  private static final double OUTWARD = 14;

  private final Box inside;
  private final List<double[]> points = new ArrayList<>();
  private final List<Box> boxes = new ArrayList<>();

  /** A rectangle from its upper left corner. */
  record Box(double x, double y, double width, double height) {

    boolean meets(Box other, double apart) {
      return x < other.x + other.width + apart
          && other.x < x + width + apart
          && y < other.y + other.height + apart
          && other.y < y + height + apart;
    }

    boolean within(Box outer) {
      return x >= outer.x
          && y >= outer.y
          && x + width <= outer.x + outer.width
          && y + height <= outer.y + outer.height;
    }

    /** Returns the point of it that is nearest to another. */
    double[] nearest(double px, double py) {
      return new double[] {
        Math.min(Math.max(px, x), x + width), Math.min(Math.max(py, y), y + height)
      };
    }
  }

  Tags(Box inside) {
    this.inside = inside;
  }

  /** Keeps tags off a line. */
  void keepOff(double x1, double y1, double x2, double y2) {
    int steps = (int) Math.ceil(Math.hypot(x2 - x1, y2 - y1) / 3) + 1;
    for (int i = 0; i <= steps; i++) {
      points.add(new double[] {x1 + (x2 - x1) * i / steps, y1 + (y2 - y1) * i / steps});
    }
  }

  void keepOff(Box box) {
    boxes.add(box);
  }

  /**
   * Returns the box of a tag beside a point, and keeps later ones off it.
   *
   * @param towards the direction that is best, as a vector; 0, 0 if any is
   */
  Box place(double x, double y, double[] towards, double width, double height) {
    double best = Double.MAX_VALUE;
    Box place = null;
    for (double far = NEAREST; far <= FARTHEST && far - OUTWARD < best; far += 3) {
      for (int i = 0; i < DIRECTIONS; i++) {
        double angle = 2 * Math.PI * i / DIRECTIONS;
        double dx = Math.cos(angle);
        double dy = Math.sin(angle);
        double reach = far + support(dx, dy, width, height);
        Box box = new Box(x + dx * reach - width / 2, y + dy * reach - height / 2, width, height);
        double cost = far - OUTWARD * (dx * towards[0] + dy * towards[1]);
        if (cost < best && free(box, x, y)) {
          best = cost;
          place = box;
        }
      }
    }
    if (place == null) {
      throw new IllegalStateException("no place for a tag at %f, %f".formatted(x, y));
    }
    boxes.add(place);
    double[] end = place.nearest(x, y);
    keepOff(x, y, end[0], end[1]);
    return place;
  }

  /** Returns how far the edge of a box is from its centre in a direction. */
  private static double support(double dx, double dy, double width, double height) {
    double across = Math.abs(dx) < 1e-9 ? Double.MAX_VALUE : width / 2 / Math.abs(dx);
    double along = Math.abs(dy) < 1e-9 ? Double.MAX_VALUE : height / 2 / Math.abs(dy);
    return Math.min(across, along);
  }

  private boolean free(Box box, double x, double y) {
    if (!box.within(inside) || boxes.stream().anyMatch(b -> box.meets(b, APART))) {
      return false;
    }
    Box wide = new Box(box.x - 8, box.y - 8, box.width + 16, box.height + 16);
    double[] end = box.nearest(x, y);
    for (double[] p : points) {
      boolean covered =
          p[0] > wide.x
              && p[0] < wide.x + wide.width
              && p[1] > wide.y
              && p[1] < wide.y + wide.height;
      boolean own = Math.hypot(p[0] - x, p[1] - y) < 12;
      if ((covered && !own) || (!own && near(p, x, y, end))) {
        return false;
      }
    }
    return true;
  }

  /** Tells whether a point is beside the line from a node to its tag. */
  private static boolean near(double[] p, double x, double y, double[] end) {
    double length = Math.hypot(end[0] - x, end[1] - y);
    if (length < 1e-9) {
      return false;
    }
    double along = ((p[0] - x) * (end[0] - x) + (p[1] - y) * (end[1] - y)) / length;
    double across = Math.abs((p[0] - x) * (end[1] - y) - (p[1] - y) * (end[0] - x)) / length;
    return along > 0 && along < length && across < 5;
  }
}
