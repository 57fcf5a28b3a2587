package org.tallywire.acceptance;

import static org.junit.jupiter.api.Assertions.assertEquals;
import static org.junit.jupiter.api.Assertions.assertTrue;

import java.math.BigDecimal;
import java.math.RoundingMode;
import java.util.List;
import java.util.Locale;
import java.util.Optional;
import java.util.stream.IntStream;
import java.util.stream.Stream;
import org.junit.jupiter.api.Test;
import org.junit.jupiter.params.ParameterizedTest;
import org.junit.jupiter.params.provider.CsvSource;
import org.junit.jupiter.params.provider.ValueSource;
import org.tallywire.acceptance.winding.WindingGroup;

class LeadsTest {

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
    Leads leads = Leads.of(WindingGroup.parse(group)).orElseThrow();
    assertEquals(terminals(a), leads.terminals("A"));
    assertEquals(terminals(b), leads.terminals("B"));
    assertEquals(terminals(c), leads.terminals("C"));
    assertEquals(0, leads.readingFactor().setScale(9, RoundingMode.HALF_EVEN).compareTo(reading));
  }

  private static String terminals(String row) {
    return "1"
        + row.replace("/", " / 2").replaceAll("-([UVWN])", "-1$1").replaceAll("-([uvwn])", "-2$1");
  }

  // clock definition: LV lags by 30° an hour; every pair of the table must be in phase, and the
  // ratio of the two voltages must be the reading factor
  @Test
  void everyPairIsInPhaseByTheClock() {
    int rows = 0;
    for (WindingGroup group : groups()) {
      Optional<Leads> leads = Leads.of(group);
      if (leads.isEmpty()) {
        continue;
      }
      rows++;
      for (String phase : Step.PHASES) {
        String[] sides = leads.get().terminals(phase).replaceAll("[12]", "").split(" / ", -1);
        double[] hv = voltage(sides[0], 0);
        double[] lv = voltage(sides[1], group.hour());
        double size = Math.hypot(lv[0], lv[1]);
        double ratio = Math.hypot(hv[0], hv[1]) / size;
        double cosine = (hv[0] * lv[0] + hv[1] * lv[1]) / (Math.hypot(hv[0], hv[1]) * size);
        assertEquals(1, cosine, 1e-12, group + " phase " + phase + " is not in phase");
        assertEquals(leads.get().readingFactor().doubleValue(), ratio, 1e-12, group.toString());
      }
    }
    assertEquals(8 + 2 + 4 + 4 + 4 + 8, rows, "Yy, Dd, Dz, Dyn, YNd, Yzn with their variants");
  }

  private static List<WindingGroup> groups() {
    return List.of(
            "Yy", "YNy", "Yyn", "YNyn", "Dd", "Dz", "Dzn", "Dy", "Dyn", "Yd", "YNd", "Yz", "Yzn",
            "YNz", "YNzn")
        .stream()
        .flatMap(letters -> IntStream.range(0, 12).mapToObj(hour -> letters + hour))
        .flatMap(
            designation -> {
              try {
                return Stream.of(WindingGroup.parse(designation));
              } catch (IllegalArgumentException noSuchGroup) {
                return Stream.empty();
              }
            })
        .toList();
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

  // no pair of terminals reads a zigzag winding; everywhere else reading and winding ratio agree
  @Test
  void readTheWindingRatioUnlessAWindingIsZigzag() {
    for (WindingGroup group : groups()) {
      Leads.of(group)
          .ifPresent(
              leads -> {
                BigDecimal apart = leads.readingFactor().subtract(group.windingRatioFactor()).abs();
                boolean same = apart.compareTo(new BigDecimal("1e-32")) < 0;
                assertEquals(group.lv() != WindingGroup.Connection.ZIGZAG, same, group.toString());
              });
    }
  }

  @ParameterizedTest
  @ValueSource(
      strings = {"Dy11", "Yd1", "Yz5", "Dyn3", "YNd9", "Yy2", "Dd4", "Dz8", "Zyn1", "Zd0", "Zz0"})
  void areNotGuessedWhereTheTableHasNoRow(String group) {
    assertTrue(Leads.of(WindingGroup.parse(group)).isEmpty());
    Nameplate plate = Samples.plate(group, "400", Optional.empty(), List.of(), 10000);
    Step step = Samples.step(plate, "turns-ratio/HV-LV/A/1");
    assertTrue(step.terminals().startsWith("no terminals are known for group " + group));
    assertEquals(
        0,
        step.expected()
            .orElseThrow()
            .subtract(plate.group().windingRatioFactor().multiply(new BigDecimal("25")))
            .setScale(26, RoundingMode.HALF_EVEN)
            .signum());
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
    Nameplate plate = Samples.plate(group, "400", Optional.empty(), List.of(), 10000);
    List<String> terminals =
        TestPlan.of(plate).steps().stream()
            .filter(s -> s.windings().equals(side))
            .map(Step::terminals)
            .toList();
    assertEquals(List.of(a, b, c), terminals);
  }
}
