package org.tallywire.acceptance.winding;

import static org.junit.jupiter.api.Assertions.assertEquals;
import static org.junit.jupiter.api.Assertions.assertTrue;

import java.math.BigDecimal;
import java.util.ArrayList;
import java.util.List;
import java.util.stream.Stream;
import org.junit.jupiter.api.Test;
import org.tallywire.acceptance.winding.Hypothesis.Kind;
import org.tallywire.acceptance.winding.Observation.Sense;
import org.tallywire.acceptance.winding.RatedConnection.TapRatio;

/** Which mistakes the finder thinks of, and how it orders them. */
class LikelyMistakesTest {

  private static RatedConnection plate(String group) {
    return new RatedConnection(
        WindingGroup.parse(group),
        1,
        List.of(new TapRatio(1, new BigDecimal("25.404"))),
        new BigDecimal("3"),
        CoreForm.THREE_LIMB);
  }

  /** Ratios of the phases of the plan; below zero in opposition, zero where nothing is read. */
  private static List<Observation> read(RatedConnection plate, String... ratios) {
    List<Observation> observations = new ArrayList<>();
    for (int i = 0; i < ratios.length; i++) {
      Leads leads = LeadPlan.of(plate.group()).leads(plate.group().phases().get(i));
      BigDecimal ratio = new BigDecimal(ratios[i]);
      observations.add(
          ratio.signum() == 0
              ? Observation.nothing(leads)
              : Observation.of(
                  leads, ratio.abs(), ratio.signum() > 0 ? Sense.IN_PHASE : Sense.IN_OPPOSITION));
    }
    return observations;
  }

  private static Diagnosis find(String group, String... ratios) {
    RatedConnection plate = plate(group);
    return ConnectionFinder.find(plate, read(plate, ratios));
  }

  private static Stream<String> sentences(Diagnosis d, Kind kind) {
    return d.fits().stream().filter(h -> h.kind() == kind).map(Hypothesis::sentence);
  }

  // a wye-delta reads its ratio times √3 in opposition when a side is moved on, either way round
  @Test
  void leadsMayHaveMovedOnByOneOrTwoOnEitherSide() {
    Diagnosis d = find("Yd1", "-44.001", "-44.001", "-44.001");
    assertEquals(4, d.equal());
    assertEquals(
        List.of(
            "The readings fit Yd1 with the HV leads moved on by one phase, that of 1U on 1V.",
            "The readings fit Yd1 with the HV leads moved on by one phase, that of 1U on 1W.",
            "The readings fit Yd1 with the LV leads moved on by one phase, that of 2u on 2v.",
            "The readings fit Yd1 with the LV leads moved on by one phase, that of 2u on 2w."),
        sentences(d, Kind.LEADS_MOVED_ON).toList());
  }

  @Test
  void theSameTwoPhasesMayBeSwappedOnBothSides() {
    Diagnosis d = find("YNd3", "-14.667", "-14.667", "-14.667");
    assertEquals(
        List.of(
            "The readings fit YNd3 with the leads of the same two phases swapped on HV and on LV."),
        sentences(d, Kind.LEADS_SWAPPED).toList());
    assertEquals(1, sentences(d, Kind.SIDE_REVERSED).count());
    assertTrue(
        d.sentence().contains("No other reading tells these apart: follow the leads by eye."));
    assertTrue(
        d.sentence().endsWith(" A unit of group YNd9 reads so too: look at its plate again."));
  }

  // both half windings of a zigzag phase are turned, and named by their outer ends
  @Test
  void aReversedZigzagPhaseIsNamedByItsEnds() {
    RatedConnection plate = plate("Yzn11");
    Topology sound = Topology.of(plate.group());
    assertEquals(6, sound.lv().size());
    assertEquals(
        List.of("2u-2n", "2v-2n", "2w-2n"),
        Suspects.of(plate).stream()
            .filter(s -> s.kind() == Kind.WINDING_REVERSED && s.what().startsWith("the LV"))
            .map(s -> s.what().split(" ", -1)[3])
            .toList());
    for (int phase = 0; phase < 3; phase++) {
      int one = phase;
      Suspect reversed =
          Suspects.of(plate).stream()
              .filter(s -> s.kind() == Kind.WINDING_REVERSED && s.what().startsWith("the LV"))
              .toList()
              .get(one);
      for (int i = 0; i < 6; i++) {
        Winding before = sound.lv().get(i);
        assertEquals(
            i / 2 == one ? before.reversed() : before, reversed.topology().lv().get(i), "" + i);
      }
    }
  }

  // of what is equally likely the one with fewer readings left open stands first
  @Test
  void whatMoreReadingsConfirmIsLikelier() {
    Diagnosis d = find("Dyn11", "44.001", "44.001", "44.001");
    assertEquals(Kind.AS_RATED, d.fits().get(0).kind());
    assertEquals(1, d.equal());
    for (Hypothesis h : d.fits()) {
      assertEquals(3, h.fitting() + h.open());
    }
    List<Integer> open =
        d.fits().stream()
            .filter(h -> h.kind() != Kind.OTHER_GROUP && h.kind() != Kind.AS_RATED)
            .map(Hypothesis::open)
            .toList();
    assertEquals(open.stream().sorted().toList(), open);
  }

  // of the plate, only single mistakes count as told apart
  @Test
  void everyReadingTellsThePlateFromAMistake() {
    Diagnosis d = find("Dyn11", "44.001", "44.001", "44.001");
    assertEquals(List.of(0, 1, 2), d.fits().get(0).toldApart());
  }

  @Test
  void onlyASinglePhaseUnitHasAnI() {
    assertEquals(Kind.LEADS_SWAPPED, find("Ii0", "-25.404").fits().get(0).kind());
    assertEquals(2, sentences(find("Ii0", "-25.404"), Kind.LEADS_SWAPPED).count());
  }
}
