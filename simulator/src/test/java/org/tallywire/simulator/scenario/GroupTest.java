package org.tallywire.simulator.scenario;

import static org.junit.jupiter.api.Assertions.assertEquals;
import static org.junit.jupiter.api.Assertions.assertFalse;
import static org.junit.jupiter.api.Assertions.assertThrows;
import static org.junit.jupiter.api.Assertions.assertTrue;

import org.junit.jupiter.api.DisplayName;
import org.junit.jupiter.api.Test;
import org.junit.jupiter.params.ParameterizedTest;
import org.junit.jupiter.params.provider.ValueSource;

final class GroupTest {

  @ParameterizedTest
  @ValueSource(
      strings = {
        "Dd0", "Yy0", "Dz0", "Dy5", "Yd5", "Yz5", "Dd6", "Yy6", "Dz6", "Dy11", "Yd11", "Yz11",
        "Dy1", "Yd1", "Yz1", "Dd2", "Dz2", "Dd4", "Dz4", "Dd8", "Dz8", "Dd10", "Dz10", "Dy7",
        "Yd7", "Yz7"
      })
  @DisplayName("the 26 groups of IEC 60076-1:2011 annex D (from memory) are groups")
  void standardGroups(String text) {
    assertEquals(text, Group.of(text).toString());
  }

  @ParameterizedTest
  @ValueSource(strings = {"Dyn11", "YNd1", "YNyn0", "Yzn5", "ZNy5", "Dzn0", "Ii0", "Ii6"})
  @DisplayName("neutrals that are brought out, zigzag on the HV side, single-phase")
  void more(String text) {
    assertEquals(text, Group.of(text).toString());
  }

  @ParameterizedTest
  @ValueSource(
      strings = {
        "", "Dyn", "dyn11", "DYN11", "Dyn12", "Dyn011", "Dyn-1", "Dny11", "DNy11", "Ydn1", "Dyn11 ",
        "Dyn10", "Yy1", "Dd11", "Dz5", "Yz0", "Zy0", "Zz3", "Ii1", "Ii5", "Ii12", "Iy1", "Di0"
      })
  @DisplayName("no groups: other letters, or a clock number that the connections cannot have")
  void noGroup(String text) {
    assertThrows(IllegalArgumentException.class, () -> Group.of(text));
  }

  @Test
  void parts() {
    Group group = Group.of("YNd11");

    assertEquals(Group.Connection.Y, group.connection(Winding.HV));
    assertEquals(Group.Connection.D, group.connection(Winding.LV));
    assertTrue(group.neutral(Winding.HV));
    assertFalse(group.neutral(Winding.LV));
    assertFalse(group.singlePhase());
    assertTrue(group.sameTerminals(Group.of("YNd1")));
    assertFalse(group.sameTerminals(Group.of("Yd11")));
    assertFalse(Group.of("Ii0").sameTerminals(Group.of("Dd0")));
  }
}
