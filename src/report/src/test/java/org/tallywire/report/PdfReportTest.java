package org.tallywire.report;

import static org.junit.jupiter.api.Assertions.assertEquals;
import static org.junit.jupiter.api.Assertions.assertTrue;

import java.io.IOException;
import java.nio.file.Path;
import java.util.ArrayList;
import java.util.List;
import java.util.Optional;
import org.apache.pdfbox.Loader;
import org.apache.pdfbox.pdmodel.PDDocument;
import org.apache.pdfbox.text.PDFTextStripper;
import org.apache.pdfbox.text.TextPosition;
import org.junit.jupiter.api.DisplayName;
import org.junit.jupiter.api.Test;
import org.junit.jupiter.api.io.TempDir;

/** The pages of a PDF: nothing is cut, lost or unnamed on any of them. */
class PdfReportTest {

  private static final float MARGIN = 44; // points: 16 mm less a hair

  @TempDir private Path folder;

  /** Notes what stands beyond the margins. */
  private static final class Beyond extends PDFTextStripper {
    private final List<String> found = new ArrayList<>();

    @Override
    protected void writeString(String text, List<TextPosition> positions) throws IOException {
      for (TextPosition one : positions) {
        float right = one.getXDirAdj() + one.getWidthDirAdj();
        if (one.getXDirAdj() < MARGIN || right > one.getPageWidth() - MARGIN) {
          found.add("page %d, x %.0f: %s".formatted(getCurrentPageNo(), right, text));
        }
      }
      super.writeString(text, positions);
    }
  }

  @Test
  @DisplayName(
      "No text is cut; each page says which record it is, which page of how many, and that it is incomplete")
  void pages() throws Exception {
    try (Campaign campaign = new Campaign(folder)) {
      campaign.answered().notes("Ω ° √ − ≤ ✓ µ 中 fine office").good();
      campaign.repeats(Campaign.HV, "a loose clamp " + "and a long reason ".repeat(20));
      TestRecord record = campaign.record();
      byte[] pdf =
          PdfReport.of(
              HtmlReportTest.page(record),
              EntryLines.sealed(record, Optional.empty()),
              Optional.empty(),
              Campaign.START,
              "tallywire test");
      try (PDDocument document = Loader.loadPDF(pdf)) {
        Beyond stripper = new Beyond();
        String all = stripper.getText(document);
        assertEquals(List.of(), stripper.found);
        assertTrue(all.contains("Ω ° √ − ≤ ✓ µ [U+4E2D] fine office"), all);
        assertTrue(all.contains(record.head().digest()), "a digest can be copied");
        int pages = document.getNumberOfPages();
        for (int page = 1; page <= pages; page++) {
          stripper.setStartPage(page);
          stripper.setEndPage(page);
          String text = stripper.getText(document);
          assertTrue(text.contains("page %d of %d".formatted(page, pages)), text);
          assertTrue(text.contains("Test record T-1 · asset U&1 <x>"), text);
          assertTrue(text.contains("INCOMPLETE"), text);
        }
      }
    }
  }
}
