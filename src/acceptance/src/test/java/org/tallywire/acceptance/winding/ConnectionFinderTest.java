package org.tallywire.acceptance.winding;

import java.math.BigDecimal;
import java.math.MathContext;
import java.util.List;
import java.util.function.UnaryOperator;
import org.junit.jupiter.api.Test;
import org.tallywire.acceptance.winding.Expectation.Ratio;
import org.tallywire.acceptance.winding.Observation.Sense;
import org.tallywire.acceptance.winding.RatedConnection.TapRatio;

class ConnectionFinderTest {

  private static final BigDecimal K = new BigDecimal("25");

  static RatedConnection plate(String group) {
    return new RatedConnection(
        WindingGroup.parse(group),
        2,
        List.of(
            new TapRatio(1, new BigDecimal("26.25")),
            new TapRatio(2, K),
            new TapRatio(3, new BigDecimal("23.75"))),
        new BigDecimal("0.5"),
        CoreForm.THREE_LIMB);
  }

  /** Returns what the plate's leads show for each phase if the leads go elsewhere than meant. */
  static List<Observation> observed(String meant, String real, UnaryOperator<Terminal> leadMap) {
    WindingGroup group = WindingGroup.parse(meant);
    Topology topology = Topology.of(WindingGroup.parse(real));
    return group.phases().stream()
        .map(p -> LeadPlan.of(group).leads(p))
        .map(l -> shown(l, topology.reads(l.mapped(leadMap), CoreForm.THREE_LIMB)))
        .toList();
  }

  private static Observation shown(Leads leads, Expectation e) {
    if (!(e instanceof Ratio r)) {
      return Observation.nothing(leads);
    }
    return Observation.of(
        leads,
        r.ratio().multiply(K, MathContext.DECIMAL128),
        r.inPhase() ? Sense.IN_PHASE : Sense.IN_OPPOSITION);
  }

  static void show(Diagnosis d) {
    System.out.println(d.equal() + " " + d.deciding().map(Leads::iec) + "\n  " + d.sentence());
    d.fits()
        .forEach(
            h -> System.out.println("   - " + h.kind() + " " + h.sentence() + " " + h.toldApart()));
  }

  @Test
  void dump() {
    show(ConnectionFinder.find(plate("Dyn11"), observed("Dyn11", "Dyn11", t -> t)));
    show(ConnectionFinder.find(plate("Dyn11"), observed("Dyn11", "Dyn5", t -> t)));
    show(ConnectionFinder.find(plate("Dyn11"), observed("Dyn11", "Dyn1", t -> t)));
    show(ConnectionFinder.find(plate("Dd0"), observed("Dd0", "Dd4", t -> t)));
    show(
        ConnectionFinder.find(
            plate("YNyn0"), observed("YNyn0", "YNyn0", t -> t.hv() ? t : t.turned(1))));
    show(ConnectionFinder.find(plate("Yy0"), observed("Yy0", "Yy6", t -> t)));
    show(ConnectionFinder.find(plate("Ii0"), observed("Ii0", "Ii6", t -> t)));
    show(ConnectionFinder.find(plate("Dy11"), observed("Dy11", "Dy1", t -> t)));
  }
}
