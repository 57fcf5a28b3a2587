package org.tallywire.acceptance.winding;

import java.util.List;
import java.util.Locale;
import java.util.Map;
import java.util.Set;
import org.tallywire.acceptance.winding.Drawing.Node;
import org.tallywire.acceptance.winding.Leads.Tie;
import org.tallywire.acceptance.winding.Tags.Box;

/** Writes a sketch of leads as an SVG. */
final class LeadSvg {

  private static final int PANEL = 380;
  private static final int TOP = 62;
  private static final int HEIGHT = 330;
  private static final int RADIUS = 96;
  private static final int ROW = 28;
  private static final double BADGE = 30;
  private static final double TAG_HEIGHT = 24;

  /** Light and dark; a page may set the variables, and letters and shapes do without colours. */
  private static final String STYLE =
      """
      .lead-sketch{--ink:var(--sketch-ink,#1c2126);--paper:var(--sketch-paper,#ffffff);\
      --feed:var(--sketch-feed,#a3360b);--sense:var(--sketch-sense,#0b559f);\
      color:var(--ink);background:var(--paper);font-family:system-ui,"DejaVu Sans",sans-serif}
      @media(prefers-color-scheme:dark){.lead-sketch{--ink:var(--sketch-ink,#e6e9ec);\
      --paper:var(--sketch-paper,#15191d);--feed:var(--sketch-feed,#ff9b6b);\
      --sense:var(--sketch-sense,#7db8ff)}}
      .lead-sketch text{fill:currentColor;font-size:14px}
      .lead-sketch .title{font-size:17px;font-weight:600}
      .lead-sketch .winding{fill:none;stroke:currentColor;stroke-width:1.6}
      .lead-sketch .used{stroke-width:3.4}
      .lead-sketch .node{fill:var(--paper);stroke:currentColor;stroke-width:1.8}
      .lead-sketch .dot{fill:currentColor}
      .lead-sketch .leader{stroke:currentColor;stroke-width:1}
      .lead-sketch .tie{fill:none;stroke:currentColor;stroke-width:4;stroke-dasharray:9 5}
      .lead-sketch .clip rect{stroke-width:2}
      .lead-sketch .clip text{font-size:13px;font-weight:700;text-anchor:middle}
      .lead-sketch .feed rect{stroke:var(--feed);fill:none}
      .lead-sketch .sense rect{stroke:var(--sense);fill:none}
      .lead-sketch .feed.plus rect{fill:var(--feed)}
      .lead-sketch .sense.plus rect{fill:var(--sense)}
      .lead-sketch .clip.plus text{fill:var(--paper)}
      """;

  private final LeadSketch sketch;
  private final Set<Winding> used;
  private final StringBuilder svg = new StringBuilder();

  LeadSvg(LeadSketch sketch) {
    this.sketch = sketch;
    this.used = sketch.used();
  }

  String write() {
    List<Boolean> sides = sketch.sides();
    int width = PANEL * sides.size();
    int columns = sides.size();
    int rows = sketch.placed().size() / columns + sketch.ties().size();
    boolean sense = sketch.clips().values().stream().anyMatch(on -> on.size() > 1);
    int height = TOP + HEIGHT + ROW * (rows + (sense ? 2 : 0)) + 14;
    add(
        "<svg xmlns=\"http://www.w3.org/2000/svg\" class=\"lead-sketch\" role=\"img\""
            + " viewBox=\"0 0 %d %d\" width=\"%d\" height=\"%d\">%n",
        width, height, width, height);
    add("<title>%s</title>%n<desc>%s</desc>%n", sketch.title(), described());
    add("<style>%n%s</style>%n", STYLE);
    add("<text class=\"title\" x=\"16\" y=\"26\">%s</text>%n", sketch.title());
    add(
        "<text x=\"16\" y=\"48\">%s &#160; (IEEE %s)</text>%n",
        spaced(sketch.iec()), spaced(sketch.ieee()));
    for (int i = 0; i < sides.size(); i++) {
      panel(sides.get(i), i * PANEL);
    }
    legend(columns, sense);
    return svg.append("</svg>\n").toString();
  }

  private String described() {
    StringBuilder words = new StringBuilder();
    for (Map.Entry<Clip, Terminal> placed : sketch.placed()) {
      words.append(
          "%s on %s (%s). "
              .formatted(
                  placed.getKey().words(), placed.getValue().iec(), placed.getValue().ieee()));
    }
    for (Tie tie : sketch.ties()) {
      words.append("%s tied to %s. ".formatted(tie.one().iec(), tie.other().iec()));
    }
    return words.toString().strip();
  }

  private static String spaced(String leads) {
    return leads.replace("-", "\u2013");
  }

  private void add(String format, Object... parts) {
    svg.append(format.replace("%n", "\n").formatted(parts));
  }

  private static String number(double pixels) {
    return String.format(Locale.ROOT, "%.1f", pixels);
  }

  private void panel(boolean hv, int left) {
    double cx = left + PANEL / 2.0;
    double cy = TOP + HEIGHT / 2.0;
    Tags tags = new Tags(new Box(left + 6, TOP + 4, PANEL - 12, HEIGHT - 8));
    tags.keepOff(new Box(left + 10, TOP + 8, 30, 20));
    add(
        "<text class=\"title\" x=\"%d\" y=\"%d\">%s</text>%n",
        left + 16, TOP + 22, hv ? "HV" : "LV");
    for (Winding winding : sketch.windings(hv)) {
      winding(winding, cx, cy, tags);
    }
    for (Tie tie : sketch.ties()) {
      if (tie.one().hv() == hv) {
        tie(tie, cx, cy, tags);
      }
    }
    for (Node node : sketch.nodes(hv)) {
      double r = node.accessible() ? 5 : 2.2;
      add(
          "<circle class=\"%s\" cx=\"%s\" cy=\"%s\" r=\"%s\"/>%n",
          node.accessible() ? "node" : "dot", number(x(node, cx)), number(y(node, cy)), number(r));
      tags.keepOff(new Box(x(node, cx) - r, y(node, cy) - r, 2 * r, 2 * r));
    }
    // what has most to carry looks for its place first
    sketch.nodes(hv).stream()
        .filter(Node::accessible)
        .sorted((a, b) -> sketch.clips(b).size() - sketch.clips(a).size())
        .forEach(node -> tag(node, cx, cy, tags));
  }

  private static double x(Node node, double cx) {
    return cx + node.x().doubleValue() * RADIUS;
  }

  private static double y(Node node, double cy) {
    return cy - node.y().doubleValue() * RADIUS;
  }

  /** Draws a coil, with the dot of its marked end. */
  private void winding(Winding winding, double cx, double cy, Tags tags) {
    Node from = sketch.node(winding.from()).orElseThrow();
    Node to = sketch.node(winding.to()).orElseThrow();
    double x = x(from, cx);
    double y = y(from, cy);
    double length = Math.hypot(x(to, cx) - x, y(to, cy) - y);
    double dx = (x(to, cx) - x) / length;
    double dy = (y(to, cy) - y) / length;
    int bumps = length > 110 ? 6 : length > 80 ? 5 : 3;
    double bump = 12;
    double straight = (length - bumps * bump) / 2;
    StringBuilder path = new StringBuilder();
    path.append(
        "M%s %sl%s %s"
            .formatted(number(x), number(y), number(dx * straight), number(dy * straight)));
    for (int i = 0; i < bumps; i++) {
      path.append("a6 6 0 0 1 %s %s".formatted(number(dx * bump), number(dy * bump)));
    }
    path.append("L%s %s".formatted(number(x(to, cx)), number(y(to, cy))));
    add(
        "<path class=\"winding%s\" data-winding=\"%s %s\" d=\"%s\"/>%n",
        used.contains(winding) ? " used" : "", winding.from(), winding.to(), path);
    double near = straight + bump / 2;
    double dotX = x + dx * near - dy * 9;
    double dotY = y + dy * near + dx * 9;
    add("<circle class=\"dot\" cx=\"%s\" cy=\"%s\" r=\"3.2\"/>%n", number(dotX), number(dotY));
    tags.keepOff(dotX, dotY, dotX, dotY);
    tags.keepOff(x, y, x(to, cx), y(to, cy));
  }

  /** Draws a jumper as a bow outside of the windings. */
  private void tie(Tie tie, double cx, double cy, Tags tags) {
    Node one = sketch.node(tie.one().iec()).orElseThrow();
    Node other = sketch.node(tie.other().iec()).orElseThrow();
    double mx = (x(one, cx) + x(other, cx)) / 2;
    double my = (y(one, cy) + y(other, cy)) / 2;
    double bowX = cx + (mx - cx) * 2;
    double bowY = cy + (my - cy) * 2;
    add(
        "<path class=\"tie\" data-tie=\"%s %s\" d=\"M%s %sQ%s %s %s %s\"/>%n",
        tie.one().iec(),
        tie.other().iec(),
        number(x(one, cx)),
        number(y(one, cy)),
        number(bowX),
        number(bowY),
        number(x(other, cx)),
        number(y(other, cy)));
    double px = x(one, cx);
    double py = y(one, cy);
    for (int i = 1; i <= 12; i++) {
      double t = i / 12.0;
      double nx = bow(x(one, cx), bowX, x(other, cx), t);
      double ny = bow(y(one, cy), bowY, y(other, cy), t);
      tags.keepOff(px, py, nx, ny);
      px = nx;
      py = ny;
    }
    double tx = bow(x(one, cx), bowX, x(other, cx), 0.5);
    double ty = bow(y(one, cy), bowY, y(other, cy), 0.5);
    Box box = tags.place(tx, ty, away(tx - cx, ty - cy), 28, 18);
    text(box, "tie");
  }

  private static double bow(double from, double over, double to, double t) {
    return (1 - t) * (1 - t) * from + 2 * t * (1 - t) * over + t * t * to;
  }

  private static double[] away(double dx, double dy) {
    double length = Math.hypot(dx, dy);
    return length < 1 ? new double[] {0, 0} : new double[] {dx / length, dy / length};
  }

  private void text(Box box, String words) {
    add(
        "<text data-box=\"%s\" x=\"%s\" y=\"%s\">%s</text>%n",
        attribute(box), number(box.x() + 3), number(box.y() + box.height() - 5), words);
  }

  private static String attribute(Box box) {
    return "%s %s %s %s"
        .formatted(number(box.x()), number(box.y()), number(box.width()), number(box.height()));
  }

  /** Writes a terminal's letters with its clips. */
  private void tag(Node node, double cx, double cy, Tags tags) {
    List<Clip> clips = sketch.clips(node);
    Terminal terminal = node.terminal().orElseThrow();
    double x = x(node, cx);
    double y = y(node, cy);
    double width = 58 + clips.size() * (BADGE + 4);
    Box box = tags.place(x, y, away(x - cx, y - cy), width, TAG_HEIGHT);
    double[] end = box.nearest(x, y);
    double[] out = away(end[0] - x, end[1] - y);
    add(
        "<line class=\"leader\" x1=\"%s\" y1=\"%s\" x2=\"%s\" y2=\"%s\"/>%n",
        number(x + out[0] * 5), number(y + out[1] * 5), number(end[0]), number(end[1]));
    add("<g data-tag=\"%s\" data-box=\"%s\">%n", terminal.iec(), attribute(box));
    for (int i = 0; i < clips.size(); i++) {
      clip(clips.get(i), terminal, box.x() + i * (BADGE + 4), box.y() + 1);
    }
    add(
        "<text x=\"%s\" y=\"%s\"><tspan font-weight=\"700\">%s</tspan> %s</text>%n</g>%n",
        number(box.x() + clips.size() * (BADGE + 4) + 3),
        number(box.y() + 17),
        terminal.iec(),
        terminal.ieee());
  }

  private void clip(Clip clip, Terminal terminal, double x, double y) {
    add(
        "<g class=\"clip %s%s\" data-clip=\"%s\" data-terminal=\"%s\">",
        clip.feeds() ? "feed" : "sense", clip.plus() ? " plus" : "", clip.words(), terminal.iec());
    badge(clip, x, y);
    add("</g>%n");
  }

  private void badge(Clip clip, double x, double y) {
    add(
        "<rect x=\"%s\" y=\"%s\" width=\"%s\" height=\"22\" rx=\"%d\"/>"
            + "<text x=\"%s\" y=\"%s\">%s</text>",
        number(x),
        number(y),
        number(BADGE),
        clip.feeds() ? 2 : 11,
        number(x + BADGE / 2),
        number(y + 16),
        clip.letters().replace('-', '\u2212'));
  }

  private void legend(int columns, boolean sense) {
    int top = TOP + HEIGHT + 4;
    List<Map.Entry<Clip, Terminal>> placed = sketch.placed();
    int rows = placed.size() / columns;
    for (int i = 0; i < placed.size(); i++) {
      double x = 16 + i / rows * PANEL;
      double y = top + i % rows * ROW;
      Clip clip = placed.get(i).getKey();
      add("<g class=\"clip %s%s\">", clip.feeds() ? "feed" : "sense", clip.plus() ? " plus" : "");
      badge(clip, x, y);
      add(
          "</g><text x=\"%s\" y=\"%s\">%s on %s (%s)</text>%n",
          number(x + BADGE + 10),
          number(y + 16),
          clip.words().replace('-', '\u2212'),
          placed.get(i).getValue().iec(),
          placed.get(i).getValue().ieee());
    }
    double y = top + rows * ROW + 16;
    for (Tie tie : sketch.ties()) {
      add(
          "<text x=\"16\" y=\"%s\">dashed: tie %s to %s (%s to %s) with a jumper</text>%n",
          number(y), tie.one().iec(), tie.other().iec(), tie.one().ieee(), tie.other().ieee());
      y += ROW;
    }
    if (sense) {
      add(
          "<text x=\"16\" y=\"%s\">Potential clips sit on the terminals themselves,</text>%n"
              + "<text x=\"16\" y=\"%s\">nearer to the winding than the current clips.</text>%n",
          number(y), number(y + 20));
    }
  }
}
