package org.tallywire.report;

import java.io.IOException;
import java.io.InputStream;
import java.nio.charset.StandardCharsets;
import java.time.Instant;
import java.util.Locale;

/**
 * The record of a test set as one XHTML page without scripts that loads nothing, to read, to print,
 * or to be made a PDF of. Stateless, for any thread.
 */
public final class HtmlReport {

  /** The paper that it is laid out for. */
  public enum Paper {
    A4,
    LETTER;

    private String word() {
      return this == A4 ? "A4" : "letter";
    }
  }

  private HtmlReport() {}

  /**
   * Returns the page.
   *
   * @param made when it is made, which it says
   * @param program name and version of what makes it
   */
  public static String of(TestRecord record, Paper paper, Instant made, String program) {
    Markup page = new Markup();
    String title =
        "Test record " + record.opened().testSet() + ", asset " + record.opened().asset();
    page.raw("<?xml version=\"1.0\" encoding=\"UTF-8\"?>\n")
        .raw("<!DOCTYPE html>\n")
        .raw("<html xmlns=\"http://www.w3.org/1999/xhtml\" lang=\"en\" xml:lang=\"en\">\n<head>\n")
        .raw("<meta charset=\"UTF-8\"/>\n")
        .raw("<meta http-equiv=\"Content-Security-Policy\"")
        .raw(" content=\"default-src 'none'; style-src 'unsafe-inline'\"/>\n")
        .element("title", "", title)
        .raw("<style>\n")
        .raw(margins(record, paper))
        .raw(style())
        .raw("</style>\n</head>\n<body>\n");
    new FrontPage(record, page).write(made, program);
    new StepTables(record, page).write();
    new Surroundings(record, page).write();
    new Grounds(record, page).write();
    new Signatures(record, page).write();
    return page.raw("</body>\n</html>\n").toString();
  }

  /** What stands on every page: which record this is, and which page of how many. */
  private static String margins(TestRecord record, Paper paper) {
    String identity =
        "Test record %s · asset %s".formatted(record.opened().testSet(), record.opened().asset());
    String head =
        "entry %d · %s…"
            .formatted(record.head().position(), record.head().digest().substring(0, 16));
    return """
        @page { size: %s; margin: 20mm 16mm 19mm 16mm;
          @top-left { content: %s; %s }
          @top-right { content: %s; %s }
          @bottom-left { content: %s; %s }
          @bottom-right { content: "page " counter(page) " of " counter(pages); %s } }
        """
        .formatted(
            paper.word(),
            Markup.css(identity),
            MARGIN,
            Markup.css(record.missing().isEmpty() ? "" : "INCOMPLETE"),
            MARGIN,
            Markup.css(head),
            MARGIN,
            MARGIN);
  }

  private static final String MARGIN =
      "font-family: 'DejaVu Sans Condensed', sans-serif; font-size: 7.5pt; color: #444;";

  private static String style() {
    String file = "record.css";
    try (InputStream in = HtmlReport.class.getResourceAsStream(file)) {
      if (in == null) {
        throw new IllegalStateException(file + " is not in the jar");
      }
      return new String(in.readAllBytes(), StandardCharsets.UTF_8);
    } catch (IOException e) {
      throw new IllegalStateException(file + " cannot be read from the jar", e);
    }
  }

  /** Returns the number as a word, as sentences begin with it. */
  static String counted(int number, String one, String many) {
    return String.format(Locale.ROOT, "%d %s", number, number == 1 ? one : many);
  }
}
