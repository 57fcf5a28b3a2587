package org.tallywire.report;

/** The end of a record: what it is about alone, and where people sign. */
final class Signatures {

  private final TestRecord record;
  private final Markup page;

  Signatures(TestRecord record, Markup page) {
    this.record = record;
    this.page = page;
  }

  void write() {
    page.open("div", "together")
        .element("h2", "", "Signatures")
        .paragraph(
            "The results are about the unit %s alone, as it was when it was tested. Pass on the whole record, not parts of it. Who signs has looked at the pages; the program does not sign for anybody."
                .formatted(record.opened().asset()))
        .open("table", "signatures")
        .open("tbody")
        .open("tr");
    for (String who : new String[] {"tested by", "checked by", "released by"}) {
      page.open("td").element("p", "", who + " (name, date, signature)").close("td");
    }
    page.close("tr").endTable().close("div");
  }
}
