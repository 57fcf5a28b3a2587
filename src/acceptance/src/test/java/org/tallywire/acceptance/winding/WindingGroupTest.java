package org.tallywire.acceptance.winding;

import static org.junit.jupiter.api.Assertions.assertEquals;
import static org.junit.jupiter.api.Assertions.assertThrows;
import static org.junit.jupiter.api.Assertions.assertTrue;

import java.math.BigDecimal;
import java.math.MathContext;
import java.math.RoundingMode;
import java.util.List;
import java.util.Set;
import java.util.TreeSet;
import org.junit.jupiter.api.Test;
import org.junit.jupiter.params.ParameterizedTest;
import org.junit.jupiter.params.provider.CsvSource;
import org.junit.jupiter.params.provider.ValueSource;
import org.tallywire.acceptance.winding.WindingGroup.Connection;

class WindingGroupTest {

  @Test
  void readsADesignation() {
    assertEquals(
        new WindingGroup(Connection.DELTA, Connection.STAR, false, true, 11),
        WindingGroup.parse("Dyn11"));
    assertEquals(
        new WindingGroup(Connection.STAR, Connection.ZIGZAG, true, true, 5),
        WindingGroup.parse("YNzn5"));
  }

  // the 36 groups of the Modelica Standard Library: even hours Yy, Dd, Dz; odd hours Dy, Yd, Yz
  @Test
  void acceptsExactlyTheGroupsThatExistAndWritesThemBack() {
    Set<String> accepted = new TreeSet<>();
    for (String hv : List.of("Y", "YN", "D", "DN")) {
      for (String lv : List.of("y", "yn", "d", "dn", "z", "zn")) {
        for (int hour = -1; hour <= 13; hour++) {
          try {
            accepted.add(WindingGroup.parse(hv + lv + hour).toString());
          } catch (IllegalArgumentException e) {
            assertTrue(e.getMessage().length() > 20, e.getMessage());
          }
        }
      }
    }
    Set<String> existing = new TreeSet<>();
    for (int hour = 0; hour < 12; hour += 2) {
      for (String letters : List.of("Yy", "YNy", "Yyn", "YNyn", "Dd", "Dz", "Dzn")) {
        existing.add(letters + hour);
      }
      for (String letters : List.of("Dy", "Dyn", "Yd", "YNd", "Yz", "Yzn", "YNz", "YNzn")) {
        existing.add(letters + (hour + 1));
      }
    }
    assertEquals(existing, accepted);
    assertEquals(36, existing.stream().map(s -> s.replaceAll("[Nn]", "")).distinct().count());
  }

  // parity with a zigzag on HV: the mirrored group turns the clock back (circuit theory)
  @ParameterizedTest
  @ValueSource(strings = {"Zy1", "ZNyn11", "Zd0", "Zzn6"})
  void acceptsAZigzagOnHv(String designation) {
    assertEquals(designation, WindingGroup.parse(designation).toString());
  }

  @ParameterizedTest
  @ValueSource(
      strings = {
        "", "Dyn", "11", "dyn11", "DYN11", "Dyn12", "Dyn011", "Dyn 11", " Dyn11", "Dyn11 ", "Dyn-1",
        "Dyn1.0", "Xy0", "Yx0", "Yny0", "DNyn11", "Ii1", "Iin0", "Iy0", "Dyn11d0", "Dyn１", "Zy0"
      })
  void refusesAnythingElseInASentence(String designation) {
    IllegalArgumentException e =
        assertThrows(IllegalArgumentException.class, () -> WindingGroup.parse(designation));
    assertTrue(e.getMessage().contains(" "), e.getMessage());
  }

  // Modelica Standard Library: a parser should refuse these; parity by circuit theory
  @ParameterizedTest
  @CsvSource({"Dy0,odd", "Yy1,even", "Dz11,even", "Yd6,odd", "Yzn0,odd", "Dd5,even"})
  void refusesAnHourOfTheWrongParityAndSaysWhichHoursThereAre(String designation, String hours) {
    IllegalArgumentException e =
        assertThrows(IllegalArgumentException.class, () -> WindingGroup.parse(designation));
    assertTrue(e.getMessage().contains("only " + hours + " hours"), e.getMessage());
  }

  @ParameterizedTest
  @ValueSource(strings = {"Ii0", "Ii6"})
  void aSinglePhaseGroupHasPhaseAAlone(String designation) {
    WindingGroup group = WindingGroup.parse(designation);
    assertEquals(designation, group.toString());
    assertEquals(List.of("A"), group.phases());
    assertEquals(0, group.windingRatioFactor().compareTo(BigDecimal.ONE));
    assertEquals(List.of("A", "B", "C"), WindingGroup.parse("Dyn11").phases());
  }

  @Test
  void refusesSinglePhaseWithNeutralOrMixed() {
    for (var components :
        List.of(
            List.of(Connection.SINGLE, Connection.STAR, false, 0),
            List.of(Connection.STAR, Connection.SINGLE, false, 0),
            List.of(Connection.SINGLE, Connection.SINGLE, true, 0),
            List.of(Connection.SINGLE, Connection.SINGLE, false, 4))) {
      IllegalArgumentException e =
          assertThrows(
              IllegalArgumentException.class,
              () ->
                  new WindingGroup(
                      (Connection) components.get(0),
                      (Connection) components.get(1),
                      false,
                      (Boolean) components.get(2),
                      (Integer) components.get(3)));
      assertTrue(e.getMessage().startsWith("a single-phase group is Ii0 or Ii6"), e.getMessage());
    }
  }

  @Test
  void refusesComponentsThatContradict() {
    assertThrows(
        IllegalArgumentException.class,
        () -> new WindingGroup(Connection.DELTA, Connection.STAR, true, true, 11));
    assertThrows(
        IllegalArgumentException.class,
        () -> new WindingGroup(Connection.STAR, Connection.STAR, true, true, 12));
  }

  // found in the Modelica Standard Library: N1/N2 = K (√3 if z else 2)/2 (1 if d else √3)/(1 if D
  // else √3); rows with HV zigzag are the reciprocals of the mirrored ones (derived)
  @ParameterizedTest
  @CsvSource({
    "Yy0,1", "Dd0,1", "Dy11,1.732050808", "Yd1,0.577350269", "Dz0,1.5", "Yz5,0.866025404",
    "Zy1,1.154700538", "Zd0,0.666666667", "Zz0,1", "YNyn6,1", "Dyn1,1.732050808",
        "YNd11,0.577350269"
  })
  void hasTheWindingRatioOfItsConnection(String designation, BigDecimal expected) {
    BigDecimal factor = WindingGroup.parse(designation).windingRatioFactor();
    assertEquals(
        0,
        factor.setScale(9, RoundingMode.HALF_EVEN).compareTo(expected),
        () -> designation + " has " + factor);
  }

  // the squares are rational, so that every digit of the factor is checked
  @ParameterizedTest
  @CsvSource({"Dy1,3,1", "Yd1,1,3", "Dz0,9,4", "Yz1,3,4", "Zy1,4,3", "Zd0,4,9"})
  void hasItToThirtyThreeDigits(String designation, BigDecimal numerator, BigDecimal denominator) {
    BigDecimal factor = WindingGroup.parse(designation).windingRatioFactor();
    BigDecimal square = numerator.divide(denominator, new MathContext(60));
    BigDecimal error = factor.multiply(factor).subtract(square).abs();
    assertTrue(error.compareTo(square.scaleByPowerOfTen(-33)) <= 0, () -> "off by " + error);
  }
}
