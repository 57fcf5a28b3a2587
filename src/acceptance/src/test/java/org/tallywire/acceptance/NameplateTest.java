package org.tallywire.acceptance;

import static org.junit.jupiter.api.Assertions.assertEquals;
import static org.junit.jupiter.api.Assertions.assertThrows;
import static org.junit.jupiter.api.Assertions.assertTrue;

import java.util.List;
import java.util.Optional;
import java.util.OptionalInt;
import org.junit.jupiter.api.Test;
import org.tallywire.acceptance.TapChanger.Tap;

/** What a nameplate refuses, and what it just takes. */
class NameplateTest {

  private static void assertRefused(SamplePlate plate, String problem) {
    String message = assertThrows(IllegalArgumentException.class, plate::plate).getMessage();
    assertTrue(message.contains(problem), message);
  }

  @Test
  void anAssetHasUpTo64Characters() {
    SamplePlate plate = new SamplePlate();
    plate.asset = "A".repeat(64);
    assertEquals(64, plate.plate().asset().length());
    plate.asset = "A".repeat(65);
    assertRefused(plate, "the asset has 65 characters, not 1 to 64");
  }

  @Test
  void everyRatedFigureIsAboveZero() {
    SamplePlate hv = new SamplePlate();
    hv.hv = "0";
    assertRefused(hv, "HV voltage");
    SamplePlate lv = new SamplePlate();
    lv.lv = "0";
    assertRefused(lv, "LV voltage");
    SamplePlate noLoad = new SamplePlate();
    noLoad.noLoadCurrent = Optional.of("0");
    assertRefused(noLoad, "no-load current");
    noLoad.noLoadCurrent = Optional.of("0.1");
    assertEquals(Optional.of(Samples.n("0.1")), noLoad.plate().noLoadCurrentPercent());
  }

  @Test
  void hvIsNotBelowLv() {
    SamplePlate plate = new SamplePlate();
    plate.lv = "11000";
    assertEquals(plate.plate().hvVoltage(), plate.plate().lvVoltage());
    plate.lv = "11000.1";
    assertRefused(plate, "the HV voltage of 11000 V is below the LV voltage of 11000.1 V");
  }

  @Test
  void anLvWindingHasOneTurnOrMore() {
    SamplePlate plate = new SamplePlate();
    plate.lvTurns = OptionalInt.of(1);
    assertEquals(OptionalInt.of(1), plate.plate().lvTurns());
    plate.lvTurns = OptionalInt.of(0);
    assertRefused(plate, "the LV winding has 0 turns");
  }

  @Test
  void positionsAreFrom1To99() {
    SamplePlate plate = new SamplePlate();
    for (int first : List.of(1, 98)) {
      plate.tapChangers = List.of(twoTaps(first));
      assertEquals(first, plate.plate().tapChanger().taps().get(0).position());
    }
    plate.tapChangers = List.of(twoTaps(0));
    assertRefused(plate, "tap position 0 is not 1 to 99");
    plate.tapChangers = List.of(twoTaps(99));
    assertRefused(plate, "tap position 100 is not 1 to 99");
  }

  private static TapChanger twoTaps(int first) {
    return new TapChanger(
        Side.HV,
        TapChanger.Kind.DE_ENERGISED,
        List.of(new Tap(first, Samples.n("11000")), new Tap(first + 1, Samples.n("10725"))),
        first);
  }
}
