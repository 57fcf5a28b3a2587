package org.tallywire.acceptance.winding;

import static org.junit.jupiter.api.Assertions.assertEquals;
import static org.junit.jupiter.api.Assertions.assertTrue;

import java.io.IOException;
import java.math.BigDecimal;
import java.math.RoundingMode;
import java.nio.file.Files;
import java.nio.file.Path;
import java.util.HashSet;
import java.util.List;
import java.util.Set;
import org.junit.jupiter.api.Test;
import org.junit.jupiter.params.ParameterizedTest;
import org.junit.jupiter.params.provider.MethodSource;
import org.tallywire.acceptance.winding.Expectation.Ratio;

/** Holds the solver to the readings of shared/vectors/ratio (netlists of another project). */
class ConnectionsTest {

  private static final Path FILE = Path.of("../../shared/vectors/ratio/connections.csv");

  /** One row: a reading over K of leads with a group. */
  record Row(WindingGroup group, Leads leads, BigDecimal reading) {

    static Row of(String line) {
      String[] f = line.split(",", -1);
      String hv = "1" + f[2].replace("-", "-1");
      String tied = hv.replaceAll("-1\\((.)(.)\\)", "-(1$1+1$2)");
      String lv = "2" + f[3].replace("-", "-2");
      return new Row(
          WindingGroup.parse(f[0]), Leads.parse(tied + " / " + lv), new BigDecimal(f[4]));
    }
  }

  static List<Row> rows() throws IOException {
    try (var lines = Files.lines(FILE)) {
      return lines.filter(l -> !l.startsWith("group,")).map(Row::of).toList();
    }
  }

  @Test
  void allReadingsAgree() throws IOException {
    Set<String> groups = new HashSet<>();
    for (Row row : rows()) {
      groups.add(row.group().toString());
      Expectation e = Topology.of(row.group()).reads(row.leads(), CoreForm.THREE_LIMB);
      assertTrue(e instanceof Ratio, () -> row + " gives " + e);
      Ratio ratio = (Ratio) e;
      assertTrue(ratio.inPhase(), row::toString);
      assertEquals(row.reading(), ratio.ratio().setScale(9, RoundingMode.HALF_EVEN), row::toString);
    }
    assertEquals(594, rows().size());
    assertEquals(36, groups.size());
  }

  // completeness: whatever leads the file does not have either read nothing or cannot be read
  @Test
  void whatTheFileDoesNotHaveHasNoReading() throws IOException {
    Set<String> known = new HashSet<>();
    rows().forEach(r -> known.add(r.group() + " " + r.leads().iec()));
    int found = 0;
    for (WindingGroup group : rows().stream().map(Row::group).distinct().toList()) {
      Topology topology = Topology.of(group);
      for (Leads leads : LeadPlan.readable(Groups.withAllNeutrals(group))) {
        boolean canonical =
            !leads.ties().isEmpty()
                || leads.exciteMinus().neutral()
                || leads.exciteMinus() == leads.excitePlus().turned(1);
        if (canonical
            && topology.reads(leads, CoreForm.THREE_LIMB) instanceof Ratio r
            && r.inPhase()) {
          Leads shown = leads.ties().isEmpty() ? leads : inOrder(leads);
          assertTrue(known.contains(group + " " + shown.iec()), () -> group + " " + shown.iec());
          found++;
        }
      }
    }
    assertEquals(594, found);
  }

  private static Leads inOrder(Leads leads) {
    Terminal plus = leads.excitePlus();
    List<Terminal> others = Terminal.HV_LINES.stream().filter(t -> t != plus).toList();
    return Leads.of(plus, others.get(0), leads.measurePlus(), leads.measureMinus())
        .tied(others.get(0), others.get(1));
  }

  @ParameterizedTest
  @MethodSource("rows")
  void isReadBackFromItsText(Row row) {
    assertEquals(row.leads(), Leads.parse(row.leads().iec()));
  }
}
