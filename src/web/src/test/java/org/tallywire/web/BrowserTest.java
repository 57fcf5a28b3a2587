package org.tallywire.web;

import static org.junit.jupiter.api.Assertions.assertEquals;
import static org.junit.jupiter.api.Assertions.assertFalse;
import static org.junit.jupiter.api.Assertions.assertTrue;

import com.fasterxml.jackson.databind.node.ObjectNode;
import java.net.URI;
import java.nio.file.Path;
import java.util.List;
import org.junit.jupiter.api.AfterAll;
import org.junit.jupiter.api.AfterEach;
import org.junit.jupiter.api.Assumptions;
import org.junit.jupiter.api.BeforeAll;
import org.junit.jupiter.api.BeforeEach;
import org.junit.jupiter.api.Test;
import org.junit.jupiter.api.Timeout;
import org.junit.jupiter.api.io.TempDir;
import org.tallywire.api.TimeSource;
import org.tallywire.journal.Journal;

/** What a person sees, in a real browser, from a real journal. */
@Timeout(value = 30, threadMode = Timeout.ThreadMode.SEPARATE_THREAD)
final class BrowserTest {

  @TempDir static Path profile;
  private static Browser browser;

  @TempDir Path folder;
  private Journal journal;
  private LivePage page;

  @BeforeAll
  static void startBrowser() throws Exception {
    if (!Browser.present()) {
      assertTrue(
          System.getenv("CI") == null,
          "CI is set and /usr/bin/chromium is missing: install it, the page is tested with it");
      Assumptions.abort("no /usr/bin/chromium: the page is not tested in a browser");
    }
    browser = new Browser(profile);
  }

  @AfterAll
  static void stopBrowser() throws Exception {
    if (browser != null) {
      browser.close();
    }
  }

  @BeforeEach
  void open() throws Exception {
    TimeSource time = SampleDay.clockFrom(SampleDay.MORNING);
    journal = Journal.open(folder.resolve("journal"), time);
    page = new LivePage(journal, "127.0.0.1", 0, time);
    browser.size(1280, 1600, false);
  }

  @AfterEach
  void close() throws Exception {
    browser.open(URI.create("about:blank"));
    page.close();
    journal.close();
  }

  @Test
  void anOpenTestSetShowsWhatFailedWhatIsMeasuredAndWhatComesNext() throws Exception {
    SampleDay.append(journal, SampleDay.lines().subList(0, SampleDay.WHILE_OPEN));
    publishStates();
    browser.open(page.start());
    browser.await("document.querySelectorAll('td.cell').length === 21");
    String problems = browser.text(".problems");
    assertTrue(problems.contains("LV C: "), problems);
    assertTrue(problems.contains("the limit is 2 %"), problems);
    assertTrue(problems.contains("Hint: stands 6 % above the other two"), problems);
    assertTrue(problems.contains("Next: Check the leads and take it again."), problems);
    assertTrue(browser.text("[data-step='winding-resistance/LV/C']").contains("2.561"), problems);
    assertCell("winding-resistance/LV/C", "2.561\u00a0mΩ", "+6.167\u00a0%", "fail");
    assertCell("turns-ratio/HV-LV/A/3", "44.0198", "+0.042\u00a0%", "pass");
    assertCell("turns-ratio/HV-LV/B/1", "+0.442\u00a0%", "conditional pass");
    // the undecided first reading was taken again, and the last one counts
    assertCell("turns-ratio/HV-LV/C/2", "pass");
    assertCell("winding-resistance/HV/B/3", "earlier 2.1862\u00a0Ω at 75 °C", "to measure");
    String set = browser.text("#testset");
    assertTrue(set.contains("line to line, at HV de-energised tap 3 of 5"), set);
    assertTrue(set.contains("19 of 21 steps measured"), set);
    assertTrue(set.contains("Next: Winding resistance HV phase B, tap 3, leads 1V-1W"), set);
    assertTrue(set.contains("Dyn11: HV delta, LV star with neutral, LV 30° ahead of HV"), set);
    assertTrue(browser.text(".comparisons").contains("a three-limb core"), set);
    browser.picture("open-laptop");
    browser.size(390, 1800, false);
    assertFitsThePhone();
    browser.picture("open-phone");
    browser.eval("document.querySelector('.progress').scrollIntoView()");
    browser.picture("open-phone-steps");
    browser.size(1280, 1600, true);
    browser.picture("open-dark");
  }

  @Test
  void stationsThatNeedAPersonComeFirstAndWhatIsLooseIsListed() throws Exception {
    SampleDay.append(journal, SampleDay.lines().subList(0, SampleDay.WHILE_OPEN));
    publishStates();
    browser.open(page.start());
    browser.await("document.querySelectorAll('.station').length === 4");
    assertEquals(
        "bay-2,bay-4,bay-3,bay-1",
        browser.eval("[...document.querySelectorAll('.station h3')].map(e => e.innerText).join()"));
    String first = browser.text(".station");
    assertTrue(first.contains("2 failed verdicts"), first);
    assertTrue(first.contains("1.8145\u00a0Ω"), first);
    assertTrue(first.matches("(?s).*Tallywire pretend tester, no\\. SIM-0007.*"), first);
    // by the server's clock, which is not this machine's
    assertTrue(first.matches("(?s).*\\d+ s ago.*"), first);
    String loose = browser.text("#loose");
    assertTrue(loose.contains("gap: 3 readings missing"), loose);
    assertTrue(loose.contains("0.8133\u00a0Ω"), loose);
    assertTrue(browser.text("footer").contains("prove it dead at the bench"), "the caution");
  }

  @Test
  void aCellOpensAllThereIsAboutItAndStaysOpenWhileRecordsCome() throws Exception {
    List<String> lines = SampleDay.lines();
    SampleDay.append(journal, lines.subList(0, SampleDay.WHILE_OPEN));
    browser.open(page.start());
    browser.await("document.querySelectorAll('td.cell').length === 21");
    browser.click("[data-step='winding-resistance/LV/C']");
    browser.await("document.querySelector('dialog').open");
    String all = browser.text("dialog");
    for (String part :
        List.of(
            "v1=2.561 v2=10.02 v3=22.5*0000",
            "0.0030831\u00a0Ω",
            "Winding temperature",
            "common practice, no source",
            "Uncertainty (k = 2)",
            "0.4\u00a0%",
            "±2\u00a0%",
            "less than 0.01\u00a0% that the true figure keeps the limit",
            "Next: Check the leads",
            "Resistance unbalance")) {
      assertTrue(all.contains(part), () -> part + " not in " + all);
    }
    browser.picture("detail");
    browser.eval("document.querySelector('[data-close]').focus()");
    SampleDay.append(journal, lines.subList(SampleDay.WHILE_OPEN, lines.size()));
    browser.await("document.querySelector('.life').innerText.startsWith('Closed')");
    assertEquals("true", browser.eval("document.activeElement.hasAttribute('data-close')"));
    browser.click("[data-close]");
    browser.await("!document.querySelector('dialog').open");
    String life = browser.text(".life");
    assertTrue(life.contains("40 pass") && life.contains("2 fail"), life);
    browser.picture("closed");
  }

  // shared/schema: the last booking of a reading wins, the last reading booked to a step wins
  @Test
  void aReadingThatIsBookedAnewMovesAndIsNotJudgedByItsOldVerdict() throws Exception {
    List<String> lines = SampleDay.lines();
    SampleDay.append(journal, lines.subList(0, SampleDay.WHILE_OPEN));
    browser.open(page.start());
    browser.await("document.querySelectorAll('td.cell').length === 21");
    assertCell("winding-resistance/HV/A/3", "1.8145\u00a0Ω", "+0.018\u00a0%", "pass");
    ObjectNode booking = (ObjectNode) SampleDay.JSON.readTree(lines.get(83));
    assertEquals("booking", booking.get("record").asText());
    booking.put("id", "booked-anew").put("step", "winding-resistance/HV/B/3");
    SampleDay.append(journal, "booked-anew", "booking", booking.toString());
    browser.await(
        "document.querySelector('[data-step=\"winding-resistance/HV/B/3\"]')"
            + ".innerText.includes('not judged yet')");
    assertCell("winding-resistance/HV/B/3", "1.8145\u00a0Ω");
    assertCell("winding-resistance/HV/A/3", "to measure");
    assertTrue(browser.text(".progress").contains("19 of 21"), "as many as before");
  }

  // shared/schema: a booking takes the place of all verdicts on its step
  @Test
  void aResistanceThatWasNotSettledIsForgottenWhenItIsTakenAgain() throws Exception {
    List<String> lines = SampleDay.lines();
    SampleDay.append(journal, lines.subList(0, SampleDay.WHILE_OPEN));
    String step = "winding-resistance/HV/A/3";
    ObjectNode booking = (ObjectNode) SampleDay.JSON.readTree(lines.get(83));
    String reading = booking.get("reading").asText();
    assertEquals(step, booking.get("step").asText());
    ObjectNode early = (ObjectNode) SampleDay.JSON.readTree(lines.get(84));
    assertEquals(step, early.get("subject").asText());
    early.put("id", "early").put("criterion", "resistance-settling").put("state", "undecided");
    SampleDay.append(journal, "early", "verdict", early.toString());
    browser.open(page.start());
    browser.await("document.querySelectorAll('td.cell').length === 21");
    assertCell(step, "undecided: resistance settling");

    String again =
        lines.stream()
            .filter(l -> l.contains("\"id\":\"" + reading + "\""))
            .findFirst()
            .orElseThrow();
    SampleDay.append(journal, "again", "reading", again.replace(reading, "again"));
    booking.put("id", "booked-again").put("reading", "again");
    SampleDay.append(journal, "booked-again", "booking", booking.toString());
    browser.await(
        "document.querySelector('[data-step=\"%s\"]').innerText.includes('not judged yet')"
            .formatted(step));
    // what was still under way about the earlier reading comes too late
    SampleDay.append(journal, "late", "verdict", early.put("id", "late").toString());
    // its readings are a run that ends with the one that counts
    early.put("id", "settled").put("state", "pass");
    early.putArray("readings").add(reading).add("again");
    early.putArray("bookings").add(early.get("bookings").path(0).asText("b")).add("booked-again");
    SampleDay.append(journal, "settled", "verdict", early.toString());
    browser.await(
        "!document.querySelector('[data-step=\"%s\"]').innerText.includes('not judged yet')"
            .formatted(step));
    assertCell(step, "pass");
    assertFalse(browser.text("[data-step='" + step + "']").contains("undecided"));
  }

  @Test
  void textFromAnInstrumentStaysText() throws Exception {
    String script = "<script>alert(1)</script>";
    String image = "\"><img src=x onerror=\"window.broken=1\">";
    for (String line : SampleDay.lines().subList(0, 5)) {
      ObjectNode record = (ObjectNode) SampleDay.JSON.readTree(line);
      if (record.has("instrument")) {
        ((ObjectNode) record.get("instrument")).put("maker", script).put("model", image);
        record.put("raw", image + script).put("driver", script);
        ((ObjectNode) record.get("instrument")).put("serial", "7\u202E8\u20289\u0007");
        ((ObjectNode) record.get("labels")).put("note", image);
      }
      if (record.has("sentence")) {
        record.put("sentence", script + image).put("state", "fail");
      }
      String id = record.get("id").asText();
      SampleDay.append(journal, id, record.get("record").asText(), record.toString());
    }
    page.publishState("bay-2", SampleDay.state("bay-2", "station", "down", image + script));
    browser.open(page.start());
    browser.await("document.querySelector('.problems') !== null");
    browser.click("[data-step='turns-ratio/HV-LV/A/1']");
    browser.await("document.querySelector('dialog pre') !== null");
    for (String place : List.of(".problems", ".station", "dialog")) {
      String text = browser.text(place);
      assertTrue(text.contains(script) && text.contains(image), place + ": " + text);
    }
    assertTrue(browser.text("dialog").contains("7?8?9?"), "L-31c: what is not seen is shown");
    assertEquals(
        "0 1",
        browser.eval(
            "document.querySelectorAll('img').length + ' '"
                + " + document.querySelectorAll('script').length"));
    assertEquals("undefined", browser.eval("String(window.broken)"));
    browser.size(390, 1800, false);
    assertFitsThePhone();
  }

  @Test
  void aLostConnectionIsShownWhetherItClosesOrFallsSilent() throws Exception {
    SampleDay.append(journal, SampleDay.lines().subList(0, SampleDay.WHILE_OPEN));
    publishStates();
    try (Relay relay = new Relay(page.start().getPort())) {
      browser.open(relay.address());
      browser.await("document.querySelector('.chips')?.innerText.includes('live')");
      assertEquals("", browser.text(".lost-line"));
      relay.silence(true);
      // instead of waiting 4.5 s: this browser's elapsed time goes on by so much
      browser.eval(
          "{ const p = performance.now.bind(performance); performance.now = () => p() + 4600 }");
      browser.await("document.querySelector('.lost-line') !== null");
      String line = browser.text(".lost-line");
      assertTrue(line.contains("Connection to the bridge lost since"), line);
      assertTrue(line.contains("may be wrong by now"), line);
      browser.picture("lost");
      relay.silence(false);
      browser.await("document.querySelector('.lost-line') === null");
      page.close();
      browser.await("document.querySelector('.lost-line') !== null");
    }
  }

  // README, "Words it uses honestly"
  @Test
  void howFarTheRecordsHaveComeIsSaidInPlainWords() throws Exception {
    SampleDay.append(journal, SampleDay.lines().subList(0, SampleDay.WHILE_OPEN));
    publishStates();
    ObjectNode bridge = bridge("connected", "sound", 164, 160, 0);
    bridge.putObject("confirmed").put("archive", 128).put("reports", 164);
    page.publishState("bridge", SampleDay.JSON.writeValueAsBytes(bridge));
    browser.open(page.start());
    browser.await("document.querySelector('.delivery') !== null");
    assertEquals(
        "164 records journalled|160 accepted by the broker, 4 to go|128 confirmed by archive, 36 to"
            + " go|all confirmed by reports|none on the shelf",
        browser.eval(
            "[...document.querySelectorAll('.delivery li')].map(e => e.innerText).join('|')"));
    assertEquals("", browser.text("#notices"));
  }

  @Test
  void whatNeedsAPersonIsABannerEachAndGoesWhenItIsOver() throws Exception {
    SampleDay.append(journal, SampleDay.lines().subList(0, SampleDay.WHILE_OPEN));
    publishStates();
    ObjectNode bridge = bridge("refused", "full", 164, 160, 2);
    bridge.putObject("confirmed").put("archive", 128);
    notice(bridge, "storage", "no space left for journal.db; free some, it goes on by itself");
    notice(
        bridge, "broker", "broker tcp://127.0.0.1:1883 refused user \"bay\": check the password");
    notice(bridge, "shelf", "2 records lie on the shelf; see why with `tallywire shelf`");
    page.publishState("bridge", SampleDay.JSON.writeValueAsBytes(bridge));
    browser.open(page.start());
    browser.await("document.querySelectorAll('.notice').length === 3");
    String all = browser.text("#notices");
    for (String part :
        List.of(
            "The journal's disk is full. Nothing is acknowledged to any instrument. no space left",
            "The broker refuses this bridge. broker tcp://127.0.0.1:1883 refused",
            "Shelf. 2 records lie on the shelf")) {
      assertTrue(all.contains(part), () -> part + " not in " + all);
    }
    assertTrue(browser.text(".chips").contains("Storage\nfull"), browser.text(".chips"));
    String alert = browser.text("#alert");
    assertTrue(alert.contains("The journal's disk is full"), "a screen reader hears it: " + alert);
    browser.picture("notices-laptop");
    browser.size(390, 900, false);
    assertFitsThePhone();
    browser.picture("notices-phone");
    browser.size(1280, 900, true);
    browser.picture("notices-dark");
    page.publishState(
        "bridge", SampleDay.JSON.writeValueAsBytes(bridge("connected", "sound", 164, 164, 0)));
    browser.await("document.querySelectorAll('.notice').length === 0");
    browser.picture("well-dark");
  }

  private static ObjectNode bridge(
      String broker, String storage, long journalled, long accepted, long shelved)
      throws Exception {
    ObjectNode bridge =
        (ObjectNode) SampleDay.JSON.readTree(SampleDay.state("bridge", "bridge", "running", ""));
    bridge.put("broker", broker).put("storage", storage);
    bridge.put("journalled", journalled).put("accepted", accepted).put("shelved", shelved);
    bridge.putObject("confirmed");
    bridge.putArray("notices");
    return bridge;
  }

  private static void notice(ObjectNode bridge, String concern, String sentence) {
    bridge.withArray("notices").addObject().put("concern", concern).put("sentence", sentence);
    if (bridge.get("detail").asText().isEmpty()) {
      bridge.put("detail", sentence);
    }
  }

  private static void assertCell(String step, String... parts) throws Exception {
    String text = browser.text("[data-step='" + step + "']");
    for (String part : parts) {
      assertTrue(text.contains(part), () -> step + ": " + part + " not in " + text);
    }
  }

  private static void assertFitsThePhone() throws Exception {
    String width = browser.eval("String(document.documentElement.scrollWidth)");
    assertTrue(Integer.parseInt(width) <= 390, width + " px wide");
  }

  private void publishStates() throws Exception {
    page.publishState("bay-1", SampleDay.state("bay-1", "station", "connected", ""));
    page.publishState("bay-2", SampleDay.state("bay-2", "station", "connected", ""));
    page.publishState(
        "bay-3",
        SampleDay.state(
            "bay-3", "station", "stale", "no line for 5.1 s, two beats are missing; waiting"));
    page.publishState(
        "bay-4",
        SampleDay.state(
            "bay-4",
            "station",
            "down",
            "could not open /dev/ttyUSB3: no such port; next try in 8 s. Is the plug in?"));
    ObjectNode bridge =
        (ObjectNode) SampleDay.JSON.readTree(SampleDay.state("bridge", "bridge", "running", ""));
    bridge.put("broker", "connected").put("storage", "sound");
    page.publishState("bridge", SampleDay.JSON.writeValueAsBytes(bridge));
  }
}
