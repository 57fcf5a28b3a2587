package org.tallywire.acceptance.winding;

import static org.junit.jupiter.api.Assertions.assertEquals;
import static org.junit.jupiter.api.Assertions.assertFalse;
import static org.junit.jupiter.api.Assertions.assertThrows;
import static org.junit.jupiter.api.Assertions.assertTrue;

import java.math.BigDecimal;
import java.util.List;
import java.util.Optional;
import org.junit.jupiter.api.Test;
import org.junit.jupiter.params.ParameterizedTest;
import org.junit.jupiter.params.provider.CsvSource;
import org.junit.jupiter.params.provider.ValueSource;
import org.tallywire.acceptance.winding.Leads.Tie;

class LeadsTest {

  @ParameterizedTest
  @CsvSource(
      delimiter = '|',
      value = {
        "1U-1V / 2u-2n|H1-H2 / X1-X0",
        "1W-1N / 2w-2v|H3-H0 / X3-X2",
        "1.1-1.2 / 2.2-2.1|H1-H2 / X2-X1",
        "1U-(1V+1W) / 2u-2v|H1-(H2+H3) / X1-X2",
        "(1U+1W)-1V / 2n-2u|(H1+H3)-H2 / X0-X1",
        "1U-1V / 2u-(2v+2w)|H1-H2 / X1-(X2+X3)",
        "1U-(1V+1W+1N) / 2u-2v|H1-(H2+H3+H0) / X1-X2",
        "1U-1N / 2u-2n, 2v+2w tied|H1-H0 / X1-X0, X2+X3 tied",
        "1U-1N / 2u-2n, 1V+1W tied, 2v+2w tied|H1-H0 / X1-X0, H2+H3 tied, X2+X3 tied"
      })
  void areWrittenAndReadBack(String iec, String ieee) {
    Leads leads = Leads.parse(iec);
    assertEquals(iec, leads.iec());
    assertEquals(ieee, leads.ieee());
  }

  @Test
  void haveTheirEndsInOrder() {
    Leads leads = Leads.parse("1U-(1V+1W) / 2n-2u");
    assertEquals(Terminal.HV_U, leads.excitePlus());
    assertEquals(Terminal.HV_V, leads.exciteMinus());
    assertEquals(Terminal.LV_N, leads.measurePlus());
    assertEquals(Terminal.LV_U, leads.measureMinus());
    assertEquals(List.of(new Tie(Terminal.HV_V, Terminal.HV_W)), leads.ties());
    assertTrue(leads.uses(Terminal.HV_W));
    assertTrue(leads.uses(Terminal.HV_V));
    assertFalse(leads.uses(Terminal.LV_V));
  }

  @ParameterizedTest
  @ValueSource(
      strings = {
        "",
        "1U-1V",
        "1U-1V / 2u",
        "1U-1V/2u-2n",
        "U-V / u-n",
        "1U-1X / 2u-2n",
        "1U-(1V) / 2u-2v",
        "1U-1V+1W / 2u-2v",
        "1U-(1V+) / 2u-2v",
        "1U-1V / 2u-2n, 2v tied",
        "1U-1V / 2u-2n,",
        "the leads as the manual says"
      })
  void refuseOtherText(String text) {
    IllegalArgumentException e =
        assertThrows(IllegalArgumentException.class, () -> Leads.parse(text));
    assertTrue(e.getMessage().startsWith("leads \"" + text + "\" are not understood"));
  }

  @ParameterizedTest
  @ValueSource(
      strings = {
        "1U-1U / 2u-2n",
        "1U-1V / 2u-2u",
        "2u-2v / 1U-1V",
        "1U-2v / 2u-2n",
        "1U-1V / 1W-2n",
        "1U-1V / 2u-1N",
        "1U-(1V+2w) / 2u-2v",
        "1U-(1V+1V) / 2u-2v"
      })
  void refuseWhatCannotBe(String text) {
    IllegalArgumentException e =
        assertThrows(IllegalArgumentException.class, () -> Leads.parse(text));
    assertFalse(e.getMessage().contains("not understood"), e.getMessage());
  }

  // IEEE C57.12.70-2020, 4.1 to 4.3 (found); neutrals and IEC letters from memory
  @Test
  void terminalsHaveBothLetters() {
    assertEquals(Optional.of(Terminal.HV_V), Terminal.ofIec("1V"));
    assertEquals(Optional.of(Terminal.LV_W), Terminal.ofIec("2w"));
    assertEquals(Optional.empty(), Terminal.ofIec("2W"));
    assertEquals("X3", Terminal.LV_W.ieee());
    assertTrue(Terminal.HV_1.hv() && !Terminal.LV_1.hv());
    assertTrue(Terminal.LV_N.neutral() && Terminal.HV_N.neutral() && !Terminal.LV_U.neutral());
  }

  @Test
  void windingsAreRefusedThatCannotBe() {
    var one = BigDecimal.ONE;
    assertThrows(IllegalArgumentException.class, () -> new Winding(0, one, "1U", "1N"));
    assertThrows(IllegalArgumentException.class, () -> new Winding(4, one, "1U", "1N"));
    assertThrows(IllegalArgumentException.class, () -> new Winding(1, one.negate(), "1U", "1N"));
    assertThrows(IllegalArgumentException.class, () -> new Winding(1, one, "1U", "1U"));
    Winding u = new Winding(1, one, "1U", "1N");
    Winding apart = new Winding(3, one, "1V", "1W");
    List<Winding> lv = List.of(new Winding(1, one, "2u", "2n"));
    assertThrows(IllegalArgumentException.class, () -> Topology.of(List.of(u, apart), lv));
    assertThrows(IllegalArgumentException.class, () -> Topology.of(List.of(), lv));
    Topology odd = Topology.of(List.of(u), lv);
    assertTrue(odd.clockHour().isEmpty());
    assertThrows(IllegalStateException.class, odd::windingRatioFactor);
  }
}
