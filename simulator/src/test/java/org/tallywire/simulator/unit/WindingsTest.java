package org.tallywire.simulator.unit;

import static org.junit.jupiter.api.Assertions.assertEquals;

import java.util.List;
import org.junit.jupiter.api.DisplayName;
import org.junit.jupiter.api.Test;
import org.junit.jupiter.params.ParameterizedTest;
import org.junit.jupiter.params.provider.CsvSource;
import org.tallywire.simulator.scenario.Group;
import org.tallywire.simulator.scenario.Phase;
import org.tallywire.simulator.scenario.Winding;

/** How the choice among equal windings falls; that each is right, RatioConnectionsTest shows. */
class WindingsTest {

  private static final String LIMBS = "ABC";
  private static final String TERMINALS = "UVWN";

  /** Returns, for example, {@code U-N:+A-C}: from U to N by limb A and against limb C. */
  private static String first(Windings windings, Winding winding) {
    PhaseWinding one = windings.of(winding).get(0);
    StringBuilder text = new StringBuilder();
    text.append(TERMINALS.charAt(one.from())).append('-').append(TERMINALS.charAt(one.to()));
    text.append(':');
    one.parts()
        .forEach(
            part -> text.append(part.sense() > 0 ? '+' : '-').append(LIMBS.charAt(part.limb())));
    return text.toString();
  }

  @ParameterizedTest
  @CsvSource({
    // By hand from phasors: with a forward delta limb A has U−V, 30° before U; so u follows it in
    // Dyn11. A backward one has U−W, 30° behind: Dyn1. Reversed: 180° more.
    "Dyn11, U-V:+A, U-N:+A",
    "Dyn1,  U-W:+A, U-N:+A",
    "Dyn5,  U-V:+A, U-N:-A",
    "YNd1,  U-N:+A, U-V:+A",
    "YNd11, U-N:+A, U-W:+A",
    // u is on limb A and against C: A−C is 30° behind A (Yzn1); A−B 30° before it (Yzn11).
    "Yzn1,  U-N:+A, U-N:+A-C",
    "Yzn11, U-N:+A, U-N:+A-B",
    "Dzn0,  U-V:+A, U-N:+A-C",
    // Terminals moved on: u on limb B, whose voltage is 120° behind that of A.
    "Yy4,   U-N:+A, U-N:+B",
    "Ii6,   U-N:+A, U-N:-A",
  })
  void theChoiceOfWindings(String group, String hv, String lv) {
    Windings windings = Windings.of(Group.of(group));
    assertEquals(hv, first(windings, Winding.HV));
    assertEquals(lv, first(windings, Winding.LV));
  }

  @Test
  @DisplayName("terminals are marked as IEC/TR 60616 has it")
  void terminals() {
    Windings three = Windings.of(Group.of("Dyn11"));
    assertEquals("1U", three.terminal(Winding.HV, 0));
    assertEquals("2N", three.terminal(Winding.LV, Windings.NEUTRAL));
    Windings single = Windings.of(Group.of("Ii0"));
    assertEquals("1.1", single.terminal(Winding.HV, 0));
    assertEquals("2.2", single.terminal(Winding.LV, Windings.NEUTRAL));
  }

  @Test
  void phasesAreNamedAfterTheTerminalInStarAndTheLimbInDelta() {
    // Yd3 has u of a reversed delta on another limb than A; the delta's phases follow the limbs.
    Windings windings = Windings.of(Group.of("Yd3"));
    for (PhaseWinding one : windings.lv()) {
      assertEquals(one.parts().get(0).limb(), one.phase().limb());
    }
    List<Phase> stars =
        Windings.of(Group.of("Yy8")).lv().stream().map(PhaseWinding::phase).toList();
    assertEquals(List.of(Phase.A, Phase.B, Phase.C), stars);
  }
}
