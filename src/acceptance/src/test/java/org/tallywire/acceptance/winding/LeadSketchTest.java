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

  /** The 36 groups of the vectors, each as it stands there and with all neutrals. */
  private static List<WindingGroup> groups() throws Exception {
    List<WindingGroup> bare =
        ConnectionsTest.rows().stream().map(ConnectionsTest.Row::group).distinct().toList();
    assertEquals(36, bare.size());
    return Stream.concat(
            bare.stream().flatMap(g -> Stream.of(g, Groups.withAllNeutrals(g))).distinct(),
            Stream.of("Ii0", "Ii6", "ZNyn1", "Zd0").map(WindingGroup::parse))
        .toList();
  }

  @Test
  void everyGroupHasTheLeadsOfItsPlan() throws Exception {
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
        assertEquals(
            leads.ties().stream().map(t -> t.one().iec() + " " + t.other().iec()).toList(),
            with(svg, "data-tie").stream().map(e -> e.getAttribute("data-tie")).toList());
        assertLegible(svg, group + " " + phase);
      }
    }
  }

  // outside: the netlists behind the vectors say what the drawn pair reads, in units of K
  @Test
  void whatIsDrawnReadsWhatTheVectorsSay() throws Exception {
    Map<String, String> readings = new HashMap<>();
    for (ConnectionsTest.Row row : ConnectionsTest.rows()) {
      Leads l = row.leads();
      String bare = row.group().toString();
      readings.put(bare + key(l.excitePlus(), l.exciteMinus(), l), row.reading().toString());
    }
    int compared = 0;
    for (WindingGroup group : groups()) {
      if (group.phases().size() == 1 || group.hv() == WindingGroup.Connection.ZIGZAG) {
        continue;
      }
      String bare = new WindingGroup(group.hv(), group.lv(), false, false, group.hour()).toString();
      for (String phase : group.phases()) {
        Leads drawn = leads(clips(parsed(LeadSketch.ofRatio(group, phase).svg())));
        for (Terminal tied :
            LeadPlan.of(group).leads(phase).ties().stream().map(Leads.Tie::other).toList()) {
          drawn = drawn.tied(drawn.exciteMinus(), tied);
        }
        Leads l = drawn;
        String reading =
            readings.getOrDefault(
                bare + key(l.excitePlus(), l.exciteMinus(), l),
                readings.get(
                    bare
                        + key(
                            l.exciteMinus(),
                            l.excitePlus(),
                            Leads.of(
                                l.exciteMinus(),
                                l.excitePlus(),
                                l.measureMinus(),
                                l.measurePlus()))));
        assertEquals(
            reading,
            LeadPlan.of(group).readingFactor().setScale(9, RoundingMode.HALF_EVEN).toString(),
            () -> group + " " + phase + " " + l.iec());
        compared++;
      }
    }
    assertEquals(3 * (groups().size() - 4), compared);
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
          assertPlain(sketch.text());
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
      if (c.getAttribute("class").equals("node")) {
        assertTrue(
            boxes.stream().noneMatch(b -> b.meets(new Box(x, y, 0, 0), 4)), () -> where + x + y);
      }
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
