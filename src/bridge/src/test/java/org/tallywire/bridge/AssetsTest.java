package org.tallywire.bridge;

import static org.junit.jupiter.api.Assertions.assertEquals;
import static org.junit.jupiter.api.Assertions.assertFalse;
import static org.junit.jupiter.api.Assertions.assertTrue;

import java.io.ByteArrayInputStream;
import java.io.PrintWriter;
import java.io.StringWriter;
import java.math.BigDecimal;
import java.nio.charset.StandardCharsets;
import java.nio.file.Files;
import java.nio.file.Path;
import java.time.Instant;
import java.time.LocalDate;
import java.util.ArrayList;
import java.util.Arrays;
import java.util.List;
import java.util.Optional;
import javax.xml.parsers.DocumentBuilderFactory;
import org.junit.jupiter.api.DisplayName;
import org.junit.jupiter.api.Test;
import org.junit.jupiter.api.io.TempDir;
import org.tallywire.acceptance.TestPlan;
import org.tallywire.api.Booking;
import org.tallywire.api.Quantity;
import org.tallywire.api.RecordedReading;
import org.tallywire.api.TimeSource;
import org.tallywire.api.Unit;
import org.tallywire.format.EarlierFile;
import org.tallywire.format.RecordFormat;
import org.tallywire.journal.Draft;
import org.tallywire.journal.Journal;
import org.tallywire.testset.AssetHistory;
import org.tallywire.testset.EarlierResult;
import org.tallywire.testset.StepHistory;
import org.tallywire.testset.TestSet;
import org.tallywire.testset.TestSetEvent;

/** An asset over time: what counts, how it is corrected, and how it is shown. */
class AssetsTest {

  private static final String LV_A = "winding-resistance/LV/A";

  @TempDir private Path folder;

  private TestSet open(AssetHistory history, String id, Instant at) throws Exception {
    BridgeConfig.TestSet wanted = Bench.testSet(folder, id);
    TestSetEvent.Opened opened =
        new TestSetEvent.Opened(
            id,
            at,
            List.of("bay-1"),
            wanted.nameplate(),
            TestPlan.of(wanted.nameplate()),
            wanted.criteria());
    history.event(opened);
    return new TestSet(opened);
  }

  private static Booking book(AssetHistory history, TestSet set, int number, String milliohms)
      throws Exception {
    RecordedReading reading =
        RecordFormat.reading(Bench.lvResistance(number, "A", milliohms).payload());
    Booking booking = set.place(reading, Bench.NOW).orElseThrow();
    history.booked(booking, reading);
    set.booked(reading, booking).forEach(history::verdict);
    return booking;
  }

  private static EarlierResult earlier(String milliohms, Optional<String> temperature, int year) {
    return new EarlierResult(
        LV_A,
        Quantity.WINDING_RESISTANCE,
        new BigDecimal(milliohms),
        new Unit("mOhm"),
        milliohms,
        Optional.empty(),
        temperature.map(BigDecimal::new),
        LocalDate.of(year, 3, 14),
        "<works & \"report\">",
        7);
  }

  @Test
  @DisplayName(
      "Values at the reference temperature, the last booking alone, changes since first and last")
  void history() throws Exception {
    AssetHistory history = new AssetHistory("HL-0231");
    TestSet first = open(history, "set-1", Bench.NOW);
    book(history, first, 1, "9.9"); // superseded by the next
    book(history, first, 2, "2.4000");
    TestSet second = open(history, "set-2", Bench.NOW.plusSeconds(60));
    book(history, second, 3, "2.4240");
    history.earlier(
        List.of(earlier("2.4", Optional.of("20.0"), 2019), earlier("2.5", Optional.empty(), 2020)));
    List<StepHistory> all = history.series();
    assertEquals(1, all.size());
    assertEquals(LV_A, all.get(0).step());
    List<StepHistory.Point> points = all.get(0).points();
    assertEquals(4, points.size());
    // R75 = R20 (225 + 75) / (225 + 20), aluminium (IEC 60076-1 annex E)
    assertEquals(new BigDecimal("0.0029387755"), points.get(0).value());
    assertTrue(points.get(0).imported());
    assertFalse(points.get(1).comparable(), "without a temperature it is compared with nothing");
    assertEquals(Optional.empty(), points.get(1).sinceFirst());
    assertEquals("0.000", points.get(2).sinceFirst().orElseThrow().toPlainString());
    assertEquals("set-1", points.get(2).from());
    assertEquals("1.000", points.get(3).sinceFirst().orElseThrow().toPlainString());
    assertEquals("1.000", points.get(3).sinceLast().orElseThrow().toPlainString());
    assertTrue(points.get(3).deviation().isPresent(), "from the verdict");
    assertFalse(points.get(3).state().isEmpty());
    String text = AssetText.of(history);
    assertTrue(text.contains("+1 %"), text);
    assertEquals(2, history.campaigns().size());
  }

  @Test
  @DisplayName("A reading that is booked elsewhere later leaves its step; its verdicts go with it")
  void bookedElsewhere() throws Exception {
    AssetHistory history = new AssetHistory("HL-0231");
    TestSet first = open(history, "set-1", Bench.NOW);
    Booking booking = book(history, first, 1, "2.4");
    Booking away = new Booking("b", booking.readingId(), "set-1", "", "somebody", Bench.NOW);
    assertTrue(history.concerns(away));
    history.booked(away, RecordFormat.reading(Bench.lvResistance(1, "A", "2.4").payload()));
    assertEquals(List.of(), history.series());
  }

  @Test
  @DisplayName("The page is well-formed, loads nothing, runs nothing, and text in it stays text")
  void page() throws Exception {
    AssetHistory history = new AssetHistory("HL-0231");
    book(history, open(history, "set-1", Bench.NOW), 1, "2.4");
    history.earlier(List.of(earlier("2.39", Optional.of("21.5"), 2019)));
    String page = DriftPage.of(history);
    assertFalse(page.contains("<works"), page);
    assertTrue(page.contains("&lt;works &amp; &quot;report&quot;&gt;"), page);
    assertTrue(page.contains("prefers-color-scheme: dark"));
    assertTrue(page.contains("default-src 'none'"));
    for (String loading : List.of("<script", "http:", "https:", "src=", "@import", "url(")) {
      assertFalse(page.contains(loading), loading);
    }
    String svg = page.substring(page.indexOf("<svg"), page.indexOf("</svg>") + 6);
    var drawn =
        DocumentBuilderFactory.newInstance()
            .newDocumentBuilder()
            .parse(new ByteArrayInputStream(svg.getBytes(StandardCharsets.UTF_8)));
    assertEquals(2, drawn.getElementsByTagName("circle").getLength());
    assertFalse(svg.contains("NaN"), svg);
  }

  @Test
  @DisplayName("assets lists plates with their last result, assets show tells one; import feeds it")
  void commands() throws Exception {
    Path data = Files.createDirectory(folder.resolve("data"));
    AssetHistory unused = new AssetHistory("HL-0231");
    TestSet set = open(unused, "set-1", Bench.NOW);
    RecordedReading reading = RecordFormat.reading(Bench.lvResistance(1, "A", "2.4").payload());
    Booking booking = set.place(reading, Bench.NOW).orElseThrow();
    List<Draft> drafts = new ArrayList<>();
    drafts.add(Drafts.of(set.opened()));
    drafts.add(Bench.lvResistance(1, "A", "2.4"));
    drafts.add(new Draft(booking.id(), "booking", "bay-1", RecordFormat.write(booking, "bay-1")));
    set.booked(reading, booking)
        .forEach(v -> drafts.add(new Draft(v.id(), "verdict", "bay-1", RecordFormat.write(v))));
    drafts.add(Drafts.of(set.close(Bench.NOW)));
    try (Journal journal = Journal.open(data, TimeSource.system())) {
      journal.append(drafts, List.of());
    }
    Path plates = Files.createDirectory(folder.resolve("plates"));
    Files.copy(folder.resolve("plate.yaml"), plates.resolve("plate.yaml"));
    Files.writeString(plates.resolve("criteria.yaml"), "name: no plate\n");
    assertEquals(0, tallywire("assets", plates, "--data", data));
    Files.writeString(plates.resolve("broken.yaml"), "asset: X\ngroup: Dyn99\n");
    assertEquals(Tallywire.NOT_AS_IT_SHOULD_BE, tallywire("assets", plates));
    for (String name : List.of("factory-report.csv", "factory-report.yaml")) {
      Files.copy(Path.of("../../shared/import", name), folder.resolve(name));
    }
    List<Object> imports =
        List.of(
            "import",
            folder.resolve("factory-report.csv"),
            "--map",
            folder.resolve("factory-report.yaml"),
            "--nameplate",
            folder.resolve("plate.yaml"),
            "--asset");
    assertEquals(2, tallywire(with(imports, "HL-9999")), "not that plate's asset");
    assertEquals(0, tallywire(with(imports, "HL-0231")));
    assertEquals(2, tallywire(with(imports, "HL-0231")), "no file is written over");
    Path earlier = folder.resolve("factory-report.earlier.json");
    assertEquals(14, EarlierFile.read(earlier).results().size());
    Path html = folder.resolve("h.html");
    Object[] show = {"assets", "show", "HL-0231", "--data", data, "--earlier", earlier};
    assertEquals(0, tallywire(with(Arrays.asList(show), "--html", html)));
    assertTrue(Files.readString(html).contains("works test report (earlier)"));
    assertEquals(
        Tallywire.NOT_AS_IT_SHOULD_BE, tallywire("assets", "show", "unknown", "--data", data));
    assertEquals(2, tallywire("assets", "show", "X", "--data", data, "--earlier", earlier));
  }

  private static Object[] with(List<Object> arguments, Object... more) {
    List<Object> all = new ArrayList<>(arguments);
    all.addAll(Arrays.asList(more));
    return all.toArray();
  }

  private static int tallywire(Object... arguments) {
    return Tallywire.commandLine()
        .setErr(new PrintWriter(new StringWriter()))
        .execute(Arrays.stream(arguments).map(Object::toString).toArray(String[]::new));
  }
}
