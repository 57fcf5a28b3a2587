package org.tallywire.report;

import static org.junit.jupiter.api.Assertions.assertEquals;
import static org.junit.jupiter.api.Assertions.assertFalse;
import static org.junit.jupiter.api.Assertions.assertTrue;

import java.io.StringReader;
import java.nio.file.Path;
import java.util.List;
import javax.xml.parsers.DocumentBuilderFactory;
import org.junit.jupiter.api.DisplayName;
import org.junit.jupiter.api.Test;
import org.junit.jupiter.api.io.TempDir;
import org.tallywire.acceptance.Verdict;
import org.tallywire.api.Value;
import org.w3c.dom.Document;
import org.w3c.dom.Element;
import org.w3c.dom.NodeList;
import org.xml.sax.InputSource;

/** The page of a record: well-formed, closed in itself, with the record's own digits. */
class HtmlReportTest {

  @TempDir private Path folder;

  static String page(TestRecord record) {
    return HtmlReport.of(record, HtmlReport.Paper.A4, Campaign.START, "tallywire test");
  }

  /** What a reader sees, whatever keeps a figure and its unit together. */
  private static String plain(String page) {
    return page.replaceAll("<span class=\"joined\">([^<]*)</span>", "$1").replace('\u00a0', ' ');
  }

  @Test
  @DisplayName("Whatever people and instruments say is text: no script, no element, no style of it")
  void escaped() throws Exception {
    try (Campaign campaign = new Campaign(folder)) {
      campaign.answered().notes("<script>alert('x')</script> ]]> \u0001 \u202e & \"q\"").good();
      String page = page(campaign.record());
      Document document =
          DocumentBuilderFactory.newInstance()
              .newDocumentBuilder()
              .parse(new InputSource(new StringReader(page)));
      assertEquals(0, document.getElementsByTagName("script").getLength());
      assertEquals(1, document.getElementsByTagName("style").getLength());
      assertEquals(0, document.getElementsByTagName("x").getLength());
      String text = document.getDocumentElement().getTextContent();
      assertTrue(text.contains("<script>alert('x')</script> ]]> ? ? & \"q\""), text);
      assertTrue(text.contains("Mill </style> & Sons (invented)"));
      assertTrue(text.contains("Sample Meter <1>"));
      NodeList all = document.getElementsByTagName("*");
      for (int i = 0; i < all.getLength(); i++) {
        Element element = (Element) all.item(i);
        assertFalse(element.hasAttribute("src") || element.hasAttribute("href"));
      }
    }
  }

  @Test
  @DisplayName("Every figure of every verdict that counts, and every reading, digit for digit")
  void digits() throws Exception {
    try (Campaign campaign = new Campaign(folder)) {
      TestRecord record = campaign.answered().good().closes().record();
      String page = plain(page(record)).replace('−', '-');
      for (Verdict verdict : record.verdicts()) {
        verdict
            .measured()
            .ifPresent(n -> assertTrue(page.contains(">" + n.toPlainString()), n::toString));
        verdict
            .expected()
            .ifPresent(n -> assertTrue(page.contains(">" + n.toPlainString()), n::toString));
        verdict
            .deviation()
            .ifPresent(n -> assertTrue(page.contains(">" + n.toPlainString()), n::toString));
        assertTrue(page.contains(verdict.limit().toPlainString()));
        assertTrue(page.contains(">" + verdict.uncertainty().toPlainString()));
        assertTrue(page.contains(Markup.escaped(verdict.rule().source())));
      }
      for (TestRecord.StepResult step : record.steps()) {
        for (Value value : step.taken().orElseThrow().recorded().reading().values()) {
          assertTrue(
              page.contains(value.quantity() + " " + ((Value.Measured) value).text()),
              value::toString);
        }
      }
      assertTrue(page.contains(record.head().digest()));
      assertTrue(page.contains(record.opened().criteria().digest()));
      assertFalse(page.contains("INCOMPLETE"));
      assertTrue(page.contains("✓ Pass: every verdict is within its limit."));
    }
  }

  @Test
  @DisplayName("What is missing, failed or undecided stands before everything else, in words")
  void front() throws Exception {
    try (Campaign campaign = new Campaign(folder)) {
      campaign
          .answered()
          .reads(Campaign.RATIO, Campaign.ratio("26.0000"))
          .reads(Campaign.LV, Campaign.ohms("0.00238"));
      TestRecord record = campaign.record();
      assertFalse(record.in(Verdict.State.FAIL).isEmpty());
      assertFalse(record.in(Verdict.State.UNDECIDED).isEmpty(), "no temperature");
      String front = plain(page(record));
      front = front.substring(0, front.indexOf("<h2"));
      assertTrue(front.contains("INCOMPLETE"));
      for (String missing : record.missing()) {
        assertTrue(front.contains(Markup.escaped(missing)), missing);
      }
      assertTrue(front.contains("✗ FAIL"));
      for (Verdict verdict : record.in(Verdict.State.FAIL, Verdict.State.UNDECIDED)) {
        assertTrue(front.contains(Markup.escaped(verdict.sentence())), verdict.sentence());
      }
      assertFalse(front.contains("✓ Pass:"));
    }
  }

  @Test
  @DisplayName("A state has a mark and a word, no two the same")
  void states() {
    List<String> words =
        java.util.Arrays.stream(Verdict.State.values()).map(Words::state).distinct().toList();
    assertEquals(Verdict.State.values().length, words.size());
  }
}
