package org.tallywire.acceptance.winding;

import static org.junit.jupiter.api.Assertions.assertEquals;
import static org.junit.jupiter.api.Assertions.assertThrows;
import static org.junit.jupiter.api.Assertions.assertTrue;

import java.math.BigDecimal;
import java.util.List;
import java.util.stream.Collectors;
import org.junit.jupiter.api.Test;
import org.junit.jupiter.params.ParameterizedTest;
import org.junit.jupiter.params.provider.CsvSource;
import org.tallywire.acceptance.winding.Drawing.Node;

class DrawingTest {

  private static String at(Drawing drawing, String name) {
    return drawing.nodes().stream()
        .filter(n -> n.name().equals(name))
        .map(n -> n.x().toPlainString() + " " + n.y().toPlainString())
        .collect(Collectors.joining());
  }

  // clock notation: U at 12 o'clock, V at 4, W at 8; u at its hour (V1; found)
  @ParameterizedTest
  @CsvSource({
    "Dyn11,-0.500000 0.866025,1.000000 0.000000", "Dyn1,0.500000 0.866025,0.500000 -0.866025",
    "Yd5,0.500000 -0.866025,-1.000000 0.000000", "Dz6,0.000000 -1.000000,-0.866025 0.500000",
    "YNyn0,0.000000 1.000000,0.866025 -0.500000"
  })
  void linesAreAtTheirHours(String group, String u, String v) {
    Drawing d = Drawing.of(WindingGroup.parse(group), "B");
    assertEquals("0.000000 1.000000", at(d, "1U"));
    assertEquals("0.866025 -0.500000", at(d, "1V"));
    assertEquals("-0.866025 -0.500000", at(d, "1W"));
    assertEquals(u, at(d, "2u"));
    assertEquals(v, at(d, "2v"));
    assertEquals(LeadPlan.of(d.group()).terminals("B"), d.leads().iec());
  }

  @Test
  void neutralsAndPointsInsideAreNodes() {
    Drawing d = Drawing.of(WindingGroup.parse("YNz1"), "A");
    assertEquals("0.000000 0.000000", at(d, "1N"));
    assertEquals("0.000000 0.000000", at(d, "2n"));
    List<String> accessible = d.nodes().stream().filter(Node::accessible).map(Node::name).toList();
    assertEquals(List.of("1U", "1N", "1V", "1W"), accessible.subList(0, 4));
    assertEquals(7, accessible.size());
    assertTrue(d.nodes().stream().anyMatch(n -> n.name().equals("2u'") && n.terminal().isEmpty()));
    assertEquals(4, d.nodes().stream().filter(Node::hv).count());
    assertEquals(9, d.windings().size());
    assertEquals(1, d.windings().get(0).limb());
    assertEquals("1U", d.windings().get(0).from());
    assertEquals("1N", d.windings().get(0).to());
  }

  // each zigzag half is 1/√3 of the phase voltage: the bend is that far from the centre (derived)
  @Test
  void aZigzagBends() {
    Drawing d = Drawing.of(WindingGroup.parse("Dz0"), "A");
    Node bend = d.nodes().stream().filter(n -> n.name().equals("2u'")).findFirst().orElseThrow();
    double far = Math.hypot(bend.x().doubleValue(), bend.y().doubleValue());
    assertEquals(1 / Math.sqrt(3), far, 1e-6);
  }

  // the windings of every group are as long as their turns say, and lie along their limb's phasor
  @Test
  void windingsOfOneLimbAreParallel() {
    for (WindingGroup group : Groups.all()) {
      Drawing d = Drawing.of(group, "C");
      for (Winding one : d.windings()) {
        for (Winding other : d.windings()) {
          if (one.limb() == other.limb()) {
            double[] a = along(d, one);
            double[] b = along(d, other);
            double cosine =
                (a[0] * b[0] + a[1] * b[1]) / (Math.hypot(a[0], a[1]) * Math.hypot(b[0], b[1]));
            assertEquals(1, cosine, 1e-5, () -> group + " " + one + " " + other);
          }
        }
      }
    }
  }

  private static double[] along(Drawing d, Winding winding) {
    Node from = node(d, winding.from());
    Node to = node(d, winding.to());
    return new double[] {
      from.x().subtract(to.x()).doubleValue(), from.y().subtract(to.y()).doubleValue()
    };
  }

  private static Node node(Drawing d, String name) {
    return d.nodes().stream().filter(n -> n.name().equals(name)).findFirst().orElseThrow();
  }

  @ParameterizedTest
  @CsvSource({"Ii0,0.000000 1.000000", "Ii6,0.000000 -1.000000"})
  void aSinglePhaseDrawingIsALine(String group, String first) {
    Drawing d = Drawing.of(WindingGroup.parse(group), "A");
    assertEquals("0.000000 1.000000", at(d, "1.1"));
    assertEquals("0.000000 -1.000000", at(d, "1.2"));
    assertEquals(first, at(d, "2.1"));
    assertEquals(4, d.nodes().stream().filter(Node::accessible).count());
    assertThrows(IllegalArgumentException.class, () -> Drawing.of(d.group(), "B"));
    assertEquals(BigDecimal.ONE, d.windings().get(0).turns());
  }
}
