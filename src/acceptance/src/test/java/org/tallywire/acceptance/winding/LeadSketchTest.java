package org.tallywire.acceptance.winding;

import static org.junit.jupiter.api.Assertions.assertEquals;
import static org.junit.jupiter.api.Assertions.assertFalse;
import static org.junit.jupiter.api.Assertions.assertThrows;
import static org.junit.jupiter.api.Assertions.assertTrue;

import java.io.ByteArrayInputStream;
import java.math.RoundingMode;
import java.nio.charset.StandardCharsets;
import java.util.ArrayList;
import java.util.HashMap;
import java.util.HashSet;
import java.util.List;
import java.util.Map;
import java.util.Set;
import java.util.TreeMap;
import java.util.stream.Stream;
import javax.xml.parsers.DocumentBuilderFactory;
import org.junit.jupiter.api.Test;
import org.junit.jupiter.params.ParameterizedTest;
import org.junit.jupiter.params.provider.CsvSource;
import org.tallywire.acceptance.winding.Tags.Box;
import org.w3c.dom.Document;
import org.w3c.dom.Element;
import org.w3c.dom.NodeList;

/** Holds the sketches of all groups of shared/vectors/ratio to their leads. */
class LeadSketchTest {

  private static Document parsed(String svg) throws Exception {
    DocumentBuilderFactory factory = DocumentBuilderFactory.newInstance();
    factory.setFeature("http://apache.org/xml/features/disallow-doctype-decl", true);
    return factory
        .newDocumentBuilder()
        .parse(new ByteArrayInputStream(svg.getBytes(StandardCharsets.UTF_8)));
  }

  /** Returns the elements that have an attribute. */
  private static List<Element> with(Document svg, String attribute) {
    List<Element> found = new ArrayList<>();
    NodeList all = svg.getElementsByTagName("*");
    for (int i = 0; i < all.getLength(); i++) {
      if (all.item(i) instanceof Element e && e.hasAttribute(attribute)) {
        found.add(e);
      }
    }
    return found;
  }

  private static Map<String, String> clips(Document svg) {
    Map<String, String> clips = new TreeMap<>();
    for (Element clip : with(svg, "data-clip")) {
      String before = clips.put(clip.getAttribute("data-clip"), clip.getAttribute("data-terminal"));
      assertEquals(null, before, "a clip is there twice");
    }
    return clips;
  }

  /** The 36 groups of the vectors, those of the usual hours with all neutrals too, and others. */
  private static List<WindingGroup> groups() throws Exception {
    List<WindingGroup> bare =
        ConnectionsTest.rows().stream().map(ConnectionsTest.Row::group).distinct().toList();
    assertEquals(36, bare.size());
    return Stream.concat(
            Stream.concat(
                bare.stream(),
                bare.stream()
                    .filter(g -> List.of(0, 1, 5, 6, 11).contains(g.hour()))
                    .map(Groups::withAllNeutrals)
                    .filter(g -> !bare.contains(g))),
            Stream.of("Ii0", "Ii6", "ZNyn1", "Zd0").map(WindingGroup::parse))
        .toList();
  }

  // outside: the netlists behind the vectors say what the drawn pair reads
  @Test
  void everyGroupHasTheLeadsOfItsPlan() throws Exception {
    Map<String, String> readings = readings();
    int compared = 0;
    for (WindingGroup group : groups()) {
      for (String phase : group.phases()) {
        Leads leads = LeadPlan.of(group).leads(phase);
        Document svg = parsed(LeadSketch.ofRatio(group, phase).svg());
        assertEquals(
            Map.of(
                "exciting +", leads.excitePlus().iec(),
                "exciting -", leads.exciteMinus().iec(),
                "measuring +", leads.measurePlus().iec(),
                "measuring -", leads.measureMinus().iec()),
            clips(svg),
            () -> group + " " + phase);
        if (group.phases().size() == 3 && group.hv() != WindingGroup.Connection.ZIGZAG) {
          Leads drawn = leads(clips(svg));
          for (Element tie : with(svg, "data-tie")) {
            String[] ends = tie.getAttribute("data-tie").split(" ", -1);
            drawn =
                drawn.tied(
                    Terminal.ofIec(ends[0]).orElseThrow(), Terminal.ofIec(ends[1]).orElseThrow());
          }
          assertEquals(
              LeadPlan.of(group).readingFactor().setScale(9, RoundingMode.HALF_EVEN).toString(),
              reading(readings, group, drawn),
              group + " " + phase);
          compared++;
        }
        assertEquals(
            leads.ties().stream().map(t -> t.one().iec() + " " + t.other().iec()).toList(),
            with(svg, "data-tie").stream().map(e -> e.getAttribute("data-tie")).toList());
        assertLegible(svg, group + " " + phase);
      }
    }
    assertTrue(compared >= 3 * 36, "compared " + compared);
  }

  /** Returns what the netlists behind the vectors read, in units of K, by group and leads. */
  private static Map<String, String> readings() throws Exception {
    Map<String, String> readings = new HashMap<>();
    for (ConnectionsTest.Row row : ConnectionsTest.rows()) {
      Leads l = row.leads();
      readings.put(row.group() + key(l.excitePlus(), l.exciteMinus(), l), row.reading().toString());
    }
    return readings;
  }

  /** The vectors have each pair one way round; both leads of both pairs exchanged read the same. */
  private static String reading(Map<String, String> readings, WindingGroup group, Leads drawn) {
    String bare = new WindingGroup(group.hv(), group.lv(), false, false, group.hour()).toString();
    Leads turned =
        Leads.of(
            drawn.exciteMinus(), drawn.excitePlus(), drawn.measureMinus(), drawn.measurePlus());
    return readings.getOrDefault(
        bare + key(drawn.excitePlus(), drawn.exciteMinus(), drawn),
        readings.getOrDefault(
            bare + key(turned.excitePlus(), turned.exciteMinus(), turned), "none"));
  }

  private static String key(Terminal plus, Terminal minus, Leads leads) {
    Set<Terminal> low = new HashSet<>(Set.of(minus));
    leads.ties().forEach(tie -> low.addAll(List.of(tie.one(), tie.other())));
    return " " + plus + low.stream().sorted().toList() + leads.measurePlus() + leads.measureMinus();
  }

  private static Leads leads(Map<String, String> clips) {
    Map<String, Terminal> on = new HashMap<>();
    clips.forEach((clip, letters) -> on.put(clip, Terminal.ofIec(letters).orElseThrow()));
    return Leads.of(
        on.get("exciting +"), on.get("exciting -"), on.get("measuring +"), on.get("measuring -"));
  }

  @Test
  void resistanceHasFourClipsOnTheTwoTerminalsOfItsStep() throws Exception {
    for (WindingGroup group : groups()) {
      for (String phase : group.phases()) {
        for (boolean hv : new boolean[] {true, false}) {
          String[] pair = LeadPlan.of(group).resistance(hv, phase).split("-", -1);
          LeadSketch sketch = LeadSketch.ofResistance(group, hv, phase);
          Document svg = parsed(sketch.svg());
          assertEquals(
              Map.of(
                  "current +", pair[0],
                  "potential +", pair[0],
                  "current -", pair[1],
                  "potential -", pair[1]),
              clips(svg));
          assertLegible(svg, group + " " + phase + " " + hv);
          if (phase.equals("A")) {
            assertPlain(sketch.text());
          }
        }
      }
    }
  }

  /** No label covers another or a terminal, none is cut off, and its letters fit in it. */
  private static void assertLegible(Document svg, String where) {
    List<Box> boxes = new ArrayList<>();
    String[] view = svg.getDocumentElement().getAttribute("viewBox").split(" ", -1);
    Box whole = new Box(0, 0, Double.parseDouble(view[2]), Double.parseDouble(view[3]));
    for (Element e : with(svg, "data-box")) {
      String[] b = e.getAttribute("data-box").split(" ", -1);
      Box box =
          new Box(
              Double.parseDouble(b[0]),
              Double.parseDouble(b[1]),
              Double.parseDouble(b[2]),
              Double.parseDouble(b[3]));
      assertTrue(box.within(whole), () -> where + ": " + box + " is cut off");
      assertTrue(boxes.stream().noneMatch(b2 -> b2.meets(box, 0)), () -> where + ": " + box);
      boxes.add(box);
    }
    assertTrue(boxes.size() >= 2, where);
    NodeList circles = svg.getElementsByTagName("circle");
    for (int i = 0; i < circles.getLength(); i++) {
      Element c = (Element) circles.item(i);
      double x = Double.parseDouble(c.getAttribute("cx"));
      double y = Double.parseDouble(c.getAttribute("cy"));
      assertTrue(
          boxes.stream().noneMatch(b -> b.meets(new Box(x, y, 0, 0), 4)),
          () -> where + " " + x + " " + y);
    }
  }

  private static void assertPlain(String text) {
    for (String line : text.split("\n", -1)) {
      assertTrue(line.length() <= 78, line);
      assertTrue(line.chars().allMatch(c -> c >= ' ' && c <= '~'), line);
    }
  }

  @Test
  void textNamesEveryClipAndTerminal() throws Exception {
    for (WindingGroup group : groups()) {
      for (String phase : group.phases()) {
        LeadSketch sketch = LeadSketch.ofRatio(group, phase);
        assertPlain(sketch.text());
        sketch
            .placed()
            .forEach(
                placed ->
                    assertTrue(
                        sketch
                            .text()
                            .contains(
                                placed.getValue().iec() + "[" + placed.getKey().letters() + "]"),
                        () -> sketch.text()));
      }
    }
  }

  @ParameterizedTest
  @CsvSource({
    "Dyn11,[E+] exciting +   on 1U   (H1)", "Dyn11,[M-] measuring -  on 2n   (X0)",
    "YNd1,[E-] exciting -   on 1N   (H0)", "Yd1,tie  1V with 1W (H2 with H3)",
    "Ii6,[M+] measuring +  on 2.2  (X2)"
  })
  void aTableSaysItInBothAlphabets(String group, String line) {
    assertTrue(LeadSketch.ofRatio(WindingGroup.parse(group), "A").text().contains(line));
  }

  @Test
  void anSvgNeedsNothingElse() {
    String svg = LeadSketch.ofRatio(WindingGroup.parse("Yd1"), "A").svg();
    assertFalse(svg.contains("<script") || svg.contains("href") || svg.contains("url("), svg);
    assertEquals(1, svg.split("http", -1).length - 1, "the namespace alone");
    assertTrue(svg.contains("prefers-color-scheme:dark") && svg.contains("currentColor"));
    assertThrows(
        IllegalArgumentException.class, () -> LeadSketch.ofRatio(WindingGroup.parse("Ii0"), "B"));
  }
}
