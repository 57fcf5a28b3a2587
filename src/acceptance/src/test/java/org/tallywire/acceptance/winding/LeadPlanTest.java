package org.tallywire.acceptance.winding;

import static org.junit.jupiter.api.Assertions.assertEquals;
import static org.junit.jupiter.api.Assertions.assertFalse;
import static org.junit.jupiter.api.Assertions.assertThrows;
import static org.junit.jupiter.api.Assertions.assertTrue;

import java.math.BigDecimal;
import java.math.RoundingMode;
import java.util.List;
import java.util.Locale;
import org.junit.jupiter.api.Test;
import org.junit.jupiter.params.ParameterizedTest;
import org.junit.jupiter.params.provider.CsvSource;

class LeadPlanTest {

  // derived from the clock definition and checked against the winding netlists of the Modelica
  // Standard Library; the last column is the reading over the line-to-line voltage ratio
  @ParameterizedTest
  @CsvSource({
    "Yy0,U-V/u-v,V-W/v-w,W-U/w-u,1",
    "YNyn0,U-N/u-n,V-N/v-n,W-N/w-n,1",
    "YNy0,U-V/u-v,V-W/v-w,W-U/w-u,1",
    "Yyn0,U-V/u-v,V-W/v-w,W-U/w-u,1",
    "Yy6,U-V/v-u,V-W/w-v,W-U/u-w,1",
    "YNyn6,U-N/n-u,V-N/n-v,W-N/n-w,1",
    "Dd0,U-V/u-v,V-W/v-w,W-U/w-u,1",
    "Dd6,U-V/v-u,V-W/w-v,W-U/u-w,1",
    "Dyn1,U-W/u-n,V-U/v-n,W-V/w-n,1.732050808",
    "Dyn5,U-V/n-u,V-W/n-v,W-U/n-w,1.732050808",
    "Dyn7,W-U/u-n,U-V/v-n,V-W/w-n,1.732050808",
    "Dyn11,U-V/u-n,V-W/v-n,W-U/w-n,1.732050808",
    "YNd1,U-N/u-v,V-N/v-w,W-N/w-u,0.577350269",
    "YNd5,U-N/w-u,V-N/u-v,W-N/v-w,0.577350269",
    "YNd7,U-N/v-u,V-N/w-v,W-N/u-w,0.577350269",
    "YNd11,U-N/u-w,V-N/v-u,W-N/w-v,0.577350269",
    "Dz0,U-V/u-v,V-W/v-w,W-U/w-u,1",
    "Dzn0,U-V/u-v,V-W/v-w,W-U/w-u,1",
    "Dz6,U-V/v-u,V-W/w-v,W-U/u-w,1",
    "Dzn6,U-V/v-u,V-W/w-v,W-U/u-w,1",
    "Yzn1,U-W/u-n,V-U/v-n,W-V/w-n,1.732050808",
    "Yzn5,U-V/n-u,V-W/n-v,W-U/n-w,1.732050808",
    "Yzn7,W-U/u-n,U-V/v-n,V-W/w-n,1.732050808",
    "Yzn11,U-V/u-n,V-W/v-n,W-U/w-n,1.732050808"
  })
  void areThoseOfTheTable(String group, String a, String b, String c, BigDecimal reading) {
    LeadPlan leads = LeadPlan.of(WindingGroup.parse(group));
    assertEquals(terminals(a), leads.terminals("A"));
    assertEquals(terminals(b), leads.terminals("B"));
    assertEquals(terminals(c), leads.terminals("C"));
    assertEquals(0, leads.readingFactor().setScale(9, RoundingMode.HALF_EVEN).compareTo(reading));
  }

  private static String terminals(String row) {
    return "1"
        + row.replace("/", " / 2").replaceAll("-([UVWN])", "-1$1").replaceAll("-([uvwn])", "-2$1");
  }

  // clock definition: LV lags by 30° an hour; every pair without ties must be in phase, and the
  // ratio of the two voltages must be the reading factor
  @Test
  void everyPairIsInPhaseByTheClock() {
    int rows = 0;
    for (WindingGroup group : Groups.all()) {
      LeadPlan plan = LeadPlan.of(group);
      if (!plan.phaseA().ties().isEmpty()) {
        continue;
      }
      rows++;
      for (String phase : group.phases()) {
        String[] sides = plan.terminals(phase).replaceAll("[12]", "").split(" / ", -1);
        double[] hv = voltage(sides[0], 0);
        double[] lv = voltage(sides[1], group.hour());
        double size = Math.hypot(lv[0], lv[1]);
        double ratio = Math.hypot(hv[0], hv[1]) / size;
        double cosine = (hv[0] * lv[0] + hv[1] * lv[1]) / (Math.hypot(hv[0], hv[1]) * size);
        assertEquals(1, cosine, 1e-12, group + " phase " + phase + " is not in phase");
        assertEquals(plan.readingFactor().doubleValue(), ratio, 1e-12, group.toString());
      }
    }
    assertEquals(114, rows, "groups read without ties");
  }

  private static double[] voltage(String pair, int hour) {
    double[] plus = phasor(pair.charAt(0), hour);
    double[] minus = phasor(pair.charAt(2), hour);
    return new double[] {plus[0] - minus[0], plus[1] - minus[1]};
  }

  private static double[] phasor(char terminal, int hour) {
    int at = "UVW".indexOf(String.valueOf(terminal).toUpperCase(Locale.ROOT));
    if (at < 0) {
      return new double[] {0, 0};
    }
    double angle = Math.toRadians(-120.0 * at - 30.0 * hour);
    return new double[] {Math.cos(angle), Math.sin(angle)};
  }

  // a neutral where there is one, else the pair whose winding the ratio step measures (derived)
  @ParameterizedTest
  @CsvSource({
    "Dyn11,HV,1U-1V,1V-1W,1W-1U", "Dyn11,LV,2u-2n,2v-2n,2w-2n",
    "Dyn1,HV,1U-1W,1V-1U,1W-1V", "YNd5,HV,1U-1N,1V-1N,1W-1N",
    "YNd5,LV,2w-2u,2u-2v,2v-2w", "Dzn0,LV,2u-2n,2v-2n,2w-2n",
    "Yd1,HV,1U-1V,1V-1W,1W-1U", "Yd1,LV,2u-2v,2v-2w,2w-2u"
  })
  void ofAResistanceGoToTheSameWinding(String group, String side, String a, String b, String c) {
    LeadPlan plan = LeadPlan.of(WindingGroup.parse(group));
    List<String> terminals =
        plan.group().phases().stream().map(p -> plan.resistance(side.equals("HV"), p)).toList();
    assertEquals(List.of(a, b, c), terminals);
  }

  // derived: one terminal against two tied, the LV pair with the highest voltage (trade facts
  // 1.5.2)
  @ParameterizedTest
  @CsvSource({
    "Yd1,1U-(1V+1W) / 2u-2v,1V-(1W+1U) / 2v-2w,1W-(1U+1V) / 2w-2u",
    "Yd5,1U-(1V+1W) / 2w-2u,1V-(1W+1U) / 2u-2v,1W-(1U+1V) / 2v-2w",
    "Dy7,1U-(1V+1W) / 2v-2u,1V-(1W+1U) / 2w-2v,1W-(1U+1V) / 2u-2w",
    "Yz11,1U-(1V+1W) / 2u-2w,1V-(1W+1U) / 2v-2u,1W-(1U+1V) / 2w-2v",
    "Zyn1,1U-(1V+1W) / 2u-2v,1V-(1W+1U) / 2v-2w,1W-(1U+1V) / 2w-2u",
    "Dyn3,1V-1W / 2u-2n,1W-1U / 2v-2n,1U-1V / 2w-2n",
    "YNd9,1U-1N / 2v-2w,1V-1N / 2w-2u,1W-1N / 2u-2v",
    "Yy2,1U-1V / 2w-2v,1V-1W / 2u-2w,1W-1U / 2v-2u",
    "ZNzn0,1U-1N / 2u-2n,1V-1N / 2v-2n,1W-1N / 2w-2n"
  })
  void followFromTheWindingsForEveryGroup(String group, String a, String b, String c) {
    LeadPlan plan = LeadPlan.of(WindingGroup.parse(group));
    assertEquals(List.of(a, b, c), plan.group().phases().stream().map(plan::terminals).toList());
  }

  // every phase of every group reads the same, in phase, with every form of core
  @Test
  void readTheSameOnEveryPhaseWithEveryCore() {
    for (WindingGroup group : Groups.all()) {
      LeadPlan plan = LeadPlan.of(group);
      for (String phase : group.phases()) {
        for (CoreForm core : CoreForm.values()) {
          assertEquals(
              new Expectation.Ratio(plan.readingFactor(), true),
              Topology.of(group).reads(plan.leads(phase), core),
              () -> group + " " + phase + " " + core);
        }
        Leads leads = plan.leads(phase);
        assertTrue(group.hvNeutral() || !leads.uses(Terminal.HV_N), group.toString());
        assertTrue(group.lvNeutral() || !leads.uses(Terminal.LV_N), group.toString());
      }
    }
  }

  // 33/11 kV Yd1, U-(VW) / u-v: 2.598076 (derived)
  @Test
  void readTheExampleOfTheFormula() {
    BigDecimal reading =
        LeadPlan.of(WindingGroup.parse("Yd1")).readingFactor().multiply(BigDecimal.valueOf(3));
    assertEquals(new BigDecimal("2.598076"), reading.setScale(6, RoundingMode.HALF_EVEN));
    assertEquals(
        "0.8660254037844386467637231707529362",
        LeadPlan.of(WindingGroup.parse("Yd1")).readingFactor().toPlainString());
  }

  @ParameterizedTest
  @CsvSource({"Ii0,1.1-1.2 / 2.1-2.2,H1-H2 / X1-X2", "Ii6,1.1-1.2 / 2.2-2.1,H1-H2 / X2-X1"})
  void ofASinglePhaseGroup(String group, String iec, String ieee) {
    LeadPlan plan = LeadPlan.of(WindingGroup.parse(group));
    assertEquals(iec, plan.terminals("A"));
    assertEquals(ieee, plan.leads("A").ieee());
    assertEquals(0, plan.readingFactor().compareTo(BigDecimal.ONE));
    assertEquals("1.1-1.2", plan.resistance(true, "A"));
    assertEquals("2.1-2.2", plan.resistance(false, "A"));
    assertTrue(plan.excitesOneWinding());
    assertFalse(plan.namesTheLimb());
    assertThrows(IllegalArgumentException.class, () -> plan.leads("B"));
    LeadPlan three = LeadPlan.of(WindingGroup.parse("Dyn11"));
    assertThrows(IllegalArgumentException.class, () -> three.resistance(true, "D"));
  }

  // trade facts, IEEE letters: Dyn1 is H1-H3 / X1-X0, Dyn11 H1-H2 / X1-X0, YNd1 H1-H0 / X1-X2
  @ParameterizedTest
  @CsvSource({
    "Dyn1,H1-H3 / X1-X0",
    "Dyn11,H1-H2 / X1-X0",
    "YNd1,H1-H0 / X1-X2",
    "Dy1,H1-(H2+H3) / X1-X2"
  })
  void haveIeeeLettersToo(String group, String leads) {
    assertEquals(leads, LeadPlan.of(WindingGroup.parse(group)).leads("A").ieee());
  }

  @ParameterizedTest
  @CsvSource({
    "Dyn11,true,true", "Dy11,false,false", "YNd1,true,true", "Yd1,false,false", "YNyn0,true,true",
    "YNyn4,true,false", "Yyn0,false,false", "Dd0,true,false", "Dz0,true,false", "Dyn3,true,false",
    "ZNyn1,false,false", "YNzn1,false,false"
  })
  void exciteOneWindingAndNameItsLimb(String group, boolean one, boolean limb) {
    LeadPlan plan = LeadPlan.of(WindingGroup.parse(group));
    assertEquals(one, plan.excitesOneWinding());
    assertEquals(limb, plan.namesTheLimb());
  }

  @ParameterizedTest
  @CsvSource({
    "Dy1,true,1U-1W",
    "Dy1,false,2u-2v",
    "Yy6,false,2v-2u",
    "Yy0,true,1U-1V",
    "Yz11,false,2u-2v",
    "Yd11,false,2u-2w"
  })
  void ofAResistanceFollowTheGroupWithNeutrals(String group, boolean hv, String pair) {
    assertEquals(pair, LeadPlan.of(WindingGroup.parse(group)).resistance(hv, "A"));
  }
}
