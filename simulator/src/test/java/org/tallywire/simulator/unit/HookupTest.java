package org.tallywire.simulator.unit;

import static org.junit.jupiter.api.Assertions.assertEquals;
import static org.junit.jupiter.api.Assertions.assertTrue;

import java.util.ArrayList;
import java.util.List;
import java.util.Locale;
import java.util.stream.Collectors;
import org.apache.commons.math3.complex.Complex;
import org.junit.jupiter.api.DisplayName;
import org.junit.jupiter.api.Test;
import org.junit.jupiter.params.ParameterizedTest;
import org.junit.jupiter.params.provider.CsvSource;
import org.tallywire.simulator.scenario.Group;
import org.tallywire.simulator.scenario.Phase;
import org.tallywire.simulator.scenario.Winding;

class HookupTest {

  private static final double ROOT_3 = Math.sqrt(3);

  /** Returns, for example, {@code U-V/u-n U-(VW)/u-v}, one hookup a phase. */
  private static String inWords(List<Hookup> hookups) {
    return hookups.stream()
        .map(
            h ->
                letter(h.from())
                    + "-"
                    + (h.to().size() == 1
                        ? letter(h.to().get(0))
                        : "(" + letter(h.to().get(0)) + letter(h.to().get(1)) + ")")
                    + "/"
                    + letter(h.measuredFrom())
                    + "-"
                    + letter(h.measuredTo()))
        .collect(Collectors.joining(" "));
  }

  private static String letter(String terminal) {
    String letter = terminal.substring(1);
    return terminal.startsWith("1") ? letter : letter.toLowerCase(Locale.ROOT);
  }

  /**
   * Preferred connections, derived from the clock definition of IEC 60076-1 and checked against the
   * netlists of the Modelica Standard Library. W–U / u–n is written here U–W / n–u and so on: the
   * same connection with both sides turned.
   */
  @ParameterizedTest
  @CsvSource({
    "Yy0,   U-V/u-v V-W/v-w W-U/w-u, 1",
    "YNyn0, U-N/u-n V-N/v-n W-N/w-n, 1",
    "Yy6,   U-V/v-u V-W/w-v W-U/u-w, 1",
    "YNyn6, U-N/n-u V-N/n-v W-N/n-w, 1",
    "Dd0,   U-V/u-v V-W/v-w W-U/w-u, 1",
    "Dd6,   U-V/v-u V-W/w-v W-U/u-w, 1",
    "Dyn1,  U-W/u-n V-U/v-n W-V/w-n, 1.732050808",
    "Dyn5,  U-V/n-u V-W/n-v W-U/n-w, 1.732050808",
    "Dyn7,  U-W/n-u V-U/n-v W-V/n-w, 1.732050808",
    "Dyn11, U-V/u-n V-W/v-n W-U/w-n, 1.732050808",
    "YNd1,  U-N/u-v V-N/v-w W-N/w-u, 0.577350269",
    "YNd5,  U-N/w-u V-N/u-v W-N/v-w, 0.577350269",
    "YNd7,  U-N/v-u V-N/w-v W-N/u-w, 0.577350269",
    "YNd11, U-N/u-w V-N/v-u W-N/w-v, 0.577350269",
    "Dz0,   U-V/u-v V-W/v-w W-U/w-u, 1",
    "Dzn0,  U-V/u-v V-W/v-w W-U/w-u, 1",
    "Dz6,   U-V/v-u V-W/w-v W-U/u-w, 1",
    "Dzn6,  U-V/v-u V-W/w-v W-U/u-w, 1",
    "Yzn1,  U-W/u-n V-U/v-n W-V/w-n, 1.732050808",
    "Yzn5,  U-V/n-u V-W/n-v W-U/n-w, 1.732050808",
    "Yzn7,  U-W/n-u V-U/n-v W-V/n-w, 1.732050808",
    "Yzn11, U-V/u-n V-W/v-n W-U/w-n, 1.732050808",
    "YNzn11,U-V/u-n V-W/v-n W-U/w-n, 1.732050808",
    // No neutral where one is needed: two terminals tied, the LV pair of the largest voltage.
    "Dy1,   U-(VW)/u-v V-(WU)/v-w W-(UV)/w-u, 0.866025404",
    "Yd11,  U-(VW)/u-w V-(WU)/v-u W-(UV)/w-v, 0.866025404",
    "Yz5,   U-(VW)/w-u V-(WU)/u-v W-(UV)/v-w, 0.866025404",
    "Dy7,   U-(VW)/v-u V-(WU)/w-v W-(UV)/u-w, 0.866025404",
    "Ii0,   .1-.2/.1-.2, 1",
    "Ii6,   .1-.2/.2-.1, 1",
  })
  void preferredConnections(String group, String expected, double readingOverK) {
    List<Hookup> hookups = Hookup.ratio(Group.of(group));
    assertEquals(expected, inWords(hookups));
    hookups.forEach(h -> assertEquals(readingOverK, h.readingOverK(), 1e-9, group));
    assertEquals(
        List.of(Phase.A, Phase.B, Phase.C).subList(0, hookups.size()),
        hookups.stream().map(Hookup::phase).toList());
  }

  private static List<Group> everyGroup() {
    List<Group> groups = new ArrayList<>(List.of(Group.of("Ii0"), Group.of("Ii6")));
    for (String hv : List.of("Y", "YN", "D", "Z", "ZN")) {
      for (String lv : List.of("y", "yn", "d", "z", "zn")) {
        boolean odd = hv.startsWith("Y") != lv.startsWith("y");
        for (int clock = odd ? 1 : 0; clock < 12; clock += 2) {
          groups.add(Group.of(hv + lv + clock));
        }
      }
    }
    return groups;
  }

  @Test
  @DisplayName("every group's network reads what its hookups promise, in phase")
  void everyHookupReadsWhatItPromises() {
    List<Group> groups = everyGroup();
    assertEquals(2 + 25 * 6, groups.size());
    for (Group group : groups) {
      for (Hookup h : Hookup.ratio(group)) {
        Complex ratio =
            IdealUnit.ratio(
                IdealUnit.network(group), h.from(), h.to(), h.measuredFrom(), h.measuredTo());
        assertEquals(h.readingOverK(), ratio.getReal(), 1e-4 * h.readingOverK(), group + " " + h);
        assertEquals(0, ratio.getImaginary(), 1e-4, group + " " + h);
      }
    }
  }

  @Test
  @DisplayName("the readings are K times √3/2, 1, √3 or 1/√3 and nothing else")
  void readingsAreOfFewKinds() {
    // With two terminals tied: K·{√3/2, 1, 3/2, √3, 3} (derived; checked with the netlists of the
    // Modelica Standard Library). Pairs on the same limbs: 1, √3, 1/√3.
    List<Double> known = List.of(ROOT_3 / 2, 1.0, ROOT_3, 1 / ROOT_3);
    for (Group group : everyGroup()) {
      for (Hookup h : Hookup.ratio(group)) {
        assertTrue(
            known.stream().anyMatch(k -> Math.abs(k - h.readingOverK()) < 1e-12), group + " " + h);
      }
    }
  }

  @ParameterizedTest
  @CsvSource({
    // Common practice: line to neutral; lines where there is none; a delta across its limbs, which
    // is how its windings are joined, here U to W and so on in Dyn1.
    "Dyn11, HV, U-V V-W W-U",
    "Dyn11, LV, u-n v-n w-n",
    "Dyn1,  HV, U-W V-U W-V",
    "YNd1,  HV, U-N V-N W-N",
    "YNd11, LV, u-w v-u w-v",
    "Yy0,   HV, U-V V-W W-U",
    "Yz5,   LV, u-v v-w w-u",
    "Yzn5,  LV, u-n v-n w-n",
    "Ii0,   HV, .1-.2",
    "Ii6,   LV, .1-.2",
  })
  void resistancesAreMeasuredBetween(String group, Winding winding, String expected) {
    List<Hookup.Pair> pairs = Hookup.resistance(Group.of(group), winding);
    assertEquals(
        expected,
        pairs.stream()
            .map(pair -> letter(pair.from()) + "-" + letter(pair.to()))
            .collect(Collectors.joining(" ")));
    assertEquals(
        List.of(Phase.A, Phase.B, Phase.C).subList(0, pairs.size()),
        pairs.stream().map(Hookup.Pair::phase).toList());
  }
}
