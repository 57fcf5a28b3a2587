package org.tallywire.bridge;

import java.util.ArrayList;
import java.util.LinkedHashMap;
import java.util.List;
import java.util.Map;
import org.tallywire.acceptance.Nameplate;
import org.tallywire.testset.AssetHistory;
import org.tallywire.testset.StepHistory;

/**
 * The history of an asset as one HTML page without script, that loads nothing: plots of the drift,
 * the phases of a tap together, each with its table. Light or dark as the reader's screen is.
 */
final class DriftPage {

  private static final String STYLE =
      """
      :root { color-scheme: light dark; --ground: #fcfcfb; --ink: #0b0b0b; --faint: #52514e;
        --rule: #e1e0d9; --pA: #2a78d6; --pB: #eb6834; --pC: #1baf7a; --bad: #b3261e; }
      @media (prefers-color-scheme: dark) { :root { --ground: #1a1a19; --ink: #fff;
        --faint: #c3c2b7; --rule: #2c2c2a; --pA: #3987e5; --pB: #d95926; --pC: #199e70;
        --bad: #ff8a80; } }
      body { background: var(--ground); color: var(--ink); margin: 2rem auto; max-width: 60rem;
        padding: 0 1rem; font: 15px/1.5 system-ui, sans-serif; }
      h1 { font-size: 1.5rem; } h2 { font-size: 1.1rem; margin-top: 2.5rem; }
      p, caption { color: var(--faint); text-align: left; }
      .wide { overflow-x: auto; }
      table { border-collapse: collapse; width: 100%; font-variant-numeric: tabular-nums; }
      th, td { text-align: left; padding: .2rem .6rem .2rem 0; border-bottom: 1px solid var(--rule);
        white-space: nowrap; }
      td.n, th.n { text-align: right; }
      .bad { color: var(--bad); font-weight: 600; }
      svg { width: 100%; max-width: 44rem; height: auto; display: block; }
      svg text { fill: var(--faint); font: 12px system-ui, sans-serif; }
      .grid { stroke: var(--rule); stroke-width: 1; }
      polyline { fill: none; stroke-width: 2; }
      polyline.pA { stroke: var(--pA); } polyline.pB { stroke: var(--pB); }
      polyline.pC { stroke: var(--pC); }
      .mark { stroke-width: 2; }
      .mark.pA { fill: var(--pA); stroke: var(--pA); }
      .mark.pB { fill: var(--pB); stroke: var(--pB); }
      .mark.pC { fill: var(--pC); stroke: var(--pC); }
      .mark.hollow { fill: var(--ground); }
      @media print { :root { color-scheme: light; } h2 { break-after: avoid; } }
      """;

  private final AssetHistory history;
  private final StringBuilder out = new StringBuilder();

  private DriftPage(AssetHistory history) {
    this.history = history;
  }

  static String of(AssetHistory history) {
    DriftPage page = new DriftPage(history);
    page.head();
    page.campaigns();
    page.steps();
    return page.out.append("</body>\n</html>\n").toString();
  }

  /** Returns text that is text in HTML and in a quoted attribute, whatever it holds. */
  static String escaped(String text) {
    return Visible.text(text)
        .replace("&", "&amp;")
        .replace("<", "&lt;")
        .replace(">", "&gt;")
        .replace("\"", "&quot;")
        .replace("'", "&#39;");
  }

  private void head() {
    String asset = escaped(history.asset());
    out.append("<!DOCTYPE html>\n<html lang=\"en\">\n<head>\n<meta charset=\"utf-8\">\n")
        .append("<meta name=\"viewport\" content=\"width=device-width, initial-scale=1\">\n")
        .append("<meta http-equiv=\"Content-Security-Policy\" content=\"default-src 'none'; ")
        .append("style-src 'unsafe-inline'\">\n<title>")
        .append(asset)
        .append(" over time</title>\n<style>\n")
        .append(STYLE)
        .append("</style>\n</head>\n<body>\n<h1>")
        .append(asset)
        .append(" over time</h1>\n");
    history.nameplate().ifPresent(this::plate);
  }

  private void plate(Nameplate plate) {
    out.append(
        "<p>%s, %s kVA, %s/%s V, resistances at %s °C</p>%n"
            .formatted(
                escaped(plate.group().toString()),
                plate.ratedPower().toPlainString(),
                plate.hvVoltage().toPlainString(),
                plate.lvVoltage().toPlainString(),
                plate.referenceTemperature().toPlainString()));
  }

  private void campaigns() {
    List<List<String>> rows = new ArrayList<>();
    for (AssetHistory.Campaign campaign : history.campaigns()) {
      rows.add(
          List.of(
              AssetText.day(campaign.opened()), campaign.testSet(), AssetText.result(campaign)));
    }
    table("Test sets", List.of("opened", "test set", "result"), rows, 3);
  }

  private void steps() {
    Map<String, List<StepHistory>> together = new LinkedHashMap<>();
    history
        .series()
        .forEach(s -> together.computeIfAbsent(s.common(), key -> new ArrayList<>()).add(s));
    if (together.isEmpty()) {
      out.append("<p>Nothing is known of it here.</p>\n");
    }
    together.forEach(
        (common, phases) -> {
          StepHistory any = phases.get(0);
          String title = AssetText.title(common, any.unit());
          out.append("<h2>").append(escaped(title)).append("</h2>\n");
          out.append(DriftPlot.of(title, phases));
          rows(phases);
        });
  }

  private void rows(List<StepHistory> phases) {
    List<List<String>> rows = new ArrayList<>();
    for (StepHistory phase : phases) {
      for (StepHistory.Point point : phase.points()) {
        rows.add(
            List.of(
                phase.phase(),
                AssetText.day(point.at()),
                point.from() + (point.imported() ? " (earlier)" : ""),
                point.state(),
                AssetText.value(point),
                AssetText.deviation(point),
                AssetText.percent(point.sinceFirst()),
                AssetText.percent(point.sinceLast()),
                point.remark()));
      }
    }
    table(
        "",
        List.of(
            "phase",
            "date",
            "from",
            "verdict",
            "value",
            "deviation",
            "since first",
            "since last",
            "remark"),
        rows,
        4);
  }

  /**
   * Writes a table.
   *
   * @param numbers the first of up to four columns of numbers
   */
  private void table(String caption, List<String> head, List<List<String>> rows, int numbers) {
    if (rows.isEmpty()) {
      return;
    }
    out.append("<div class=\"wide\"><table>\n");
    if (!caption.isEmpty()) {
      out.append("<caption>").append(escaped(caption)).append("</caption>\n");
    }
    row("th", head, numbers);
    rows.forEach(cells -> row("td", cells, numbers));
    out.append("</table></div>\n");
  }

  private void row(String element, List<String> cells, int numbers) {
    out.append("<tr>");
    for (int i = 0; i < cells.size(); i++) {
      boolean number = i >= numbers && i < numbers + 4;
      boolean bad = cells.get(i).matches("(conditional-)?fail");
      out.append('<').append(element);
      if (number || bad) {
        out.append(" class=\"").append(number ? "n" : "bad").append('"');
      }
      out.append('>').append(escaped(cells.get(i))).append("</").append(element).append('>');
    }
    out.append("</tr>\n");
  }
}
