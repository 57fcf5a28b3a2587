package org.tallywire.bridge;

import java.util.Map;
import org.tallywire.acceptance.Caution;
import org.tallywire.acceptance.Doubt;
import org.tallywire.acceptance.winding.LeadSketch;

/** Writes a sheet of a plan as one HTML page that needs nothing else, to read or to print. */
final class PlanPage {

  private static final String STYLE =
      """
      :root{color-scheme:light dark;--ink:#1c2126;--paper:#ffffff;--line:#b7bfc7}
      @media(prefers-color-scheme:dark){:root{--ink:#e6e9ec;--paper:#15191d;--line:#4a545e}}
      body{font:15px/1.45 system-ui,"DejaVu Sans",sans-serif;color:var(--ink);
      background:var(--paper);max-width:72rem;margin:1.5rem auto;padding:0 1rem}
      table{border-collapse:collapse;width:100%}
      th,td{text-align:left;vertical-align:top;padding:.25rem .6rem;border-bottom:1px solid var(--line)}
      td.leads,td.id{white-space:nowrap}
      .doubts{border:2px solid currentColor;padding:.2rem 1rem;margin:1rem 0}
      .note{font-size:.92em}
      figure{display:inline-block;margin:.5rem;max-width:100%;break-inside:avoid}
      figure svg{max-width:100%;height:auto}
      @media print{body{max-width:none;margin:0}}
      """;

  private final PlanSheet sheet;
  private final StringBuilder page = new StringBuilder();

  PlanPage(PlanSheet sheet) {
    this.sheet = sheet;
  }

  String write() {
    String title = escaped("Test plan of " + sheet.plate().asset());
    page.append("<!doctype html>\n<html lang=\"en\"><head><meta charset=\"utf-8\"/>\n<title>")
        .append(title)
        .append("</title>\n<style>\n")
        .append(STYLE)
        .append("</style></head>\n<body>\n<h1>")
        .append(title)
        .append("</h1>\n");
    facts();
    doubts();
    page.append("<h2>Mind</h2>\n<p>").append(escaped(Caution.FIRST)).append("</p>\n<ul>\n");
    for (Caution caution : sheet.cautions()) {
      item(
          "%s (%s)"
              .formatted(
                  caution.sentence(), PlanSheet.cited(caution.source(), caution.certainty())));
    }
    page.append("</ul>\n<h2>Plan, criteria ")
        .append(escaped(sheet.criteria().name() + " " + sheet.criteria().version()))
        .append("</h2>\n");
    sheet.parts().forEach(this::part);
    page.append("<h2>Leads</h2>\n");
    for (LeadSketch sketch : sheet.sketches().values()) {
      page.append("<figure>\n").append(sketch.svg()).append("</figure>\n");
    }
    return page.append("</body></html>\n").toString();
  }

  private void facts() {
    page.append("<h2>Nameplate</h2>\n<table>\n");
    for (Map.Entry<String, String> fact : sheet.facts()) {
      page.append("<tr><th>")
          .append(escaped(fact.getKey()))
          .append("</th><td>")
          .append(escaped(fact.getValue()))
          .append("</td></tr>\n");
    }
    page.append("</table>\n");
  }

  private void doubts() {
    page.append("<h2>Plausibility</h2>\n");
    if (sheet.doubts().isEmpty()) {
      page.append("<p>Nothing unusual was found on the plate.</p>\n");
      return;
    }
    page.append("<div class=\"doubts\"><p><strong>To answer before a lead is connected:")
        .append("</strong></p>\n<ul>\n");
    for (Doubt doubt : sheet.doubts()) {
      item(
          "%s (%s)"
              .formatted(
                  doubt.sentence(),
                  PlanSheet.cited(doubt.rule().source(), doubt.rule().certainty())));
    }
    page.append("</ul></div>\n");
  }

  private void part(PlanSheet.Part part) {
    page.append("<h3>").append(escaped(part.heading())).append("</h3>\n<ul>\n");
    part.limits().forEach(this::item);
    part.notes().forEach(this::item);
    page.append(
        "</ul>\n<table>\n<tr><th>No.</th><th>Step</th><th>Leads</th><th>Expected</th></tr>\n");
    for (PlanSheet.Row row : part.rows()) {
      page.append("<tr><td>")
          .append(row.number())
          .append("</td><td class=\"id\">")
          .append(escaped(row.step().id()))
          .append("</td><td class=\"leads\">")
          .append(escaped(row.step().terminals()))
          .append("</td><td>")
          .append(escaped(row.expected()));
      row.notes()
          .forEach(
              note -> page.append("<div class=\"note\">").append(escaped(note)).append("</div>"));
      page.append("</td></tr>\n");
    }
    page.append("</table>\n");
  }

  private void item(String sentence) {
    page.append("<li>").append(escaped(sentence)).append("</li>\n");
  }

  private static String escaped(String text) {
    return text.replace("&", "&amp;")
        .replace("<", "&lt;")
        .replace(">", "&gt;")
        .replace("\"", "&quot;");
  }
}
