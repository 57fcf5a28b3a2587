package org.tallywire.acceptance.winding;

import static org.junit.jupiter.api.Assertions.assertEquals;
import static org.junit.jupiter.api.Assertions.assertThrows;
import static org.junit.jupiter.api.Assertions.assertTrue;

import java.math.BigDecimal;
import java.math.MathContext;
import java.util.ArrayList;
import java.util.List;
import java.util.Locale;
import java.util.Optional;
import org.junit.jupiter.api.Test;
import org.junit.jupiter.params.ParameterizedTest;
import org.junit.jupiter.params.provider.CsvSource;
import org.tallywire.acceptance.figure.Roots;
import org.tallywire.acceptance.winding.Expectation.Ratio;
import org.tallywire.acceptance.winding.Hypothesis.Kind;
import org.tallywire.acceptance.winding.Observation.Sense;
import org.tallywire.acceptance.winding.RatedConnection.TapRatio;

class ConnectionFinderTest {

  private static final BigDecimal K = new BigDecimal("25");
  private static final List<TapRatio> TAPS =
      List.of(
          new TapRatio(1, new BigDecimal("26.25")),
          new TapRatio(2, K),
          new TapRatio(3, new BigDecimal("23.75")));

  static RatedConnection plate(String group) {
    return new RatedConnection(
        WindingGroup.parse(group), 2, TAPS, new BigDecimal("0.5"), CoreForm.THREE_LIMB);
  }

  /** Returns what the leads of a plate show with another unit. */
  private static List<Observation> observed(String plate, String unit) {
    LeadPlan plan = LeadPlan.of(WindingGroup.parse(plate));
    Topology real = Topology.of(WindingGroup.parse(unit));
    return plan.group().phases().stream()
        .map(plan::leads)
        .map(l -> shown(l, real.reads(l, CoreForm.THREE_LIMB), K))
        .toList();
  }

  private static Observation shown(Leads leads, Expectation e, BigDecimal k) {
    if (!(e instanceof Ratio r)) {
      return Observation.nothing(leads);
    }
    return Observation.of(
        leads,
        r.ratio().multiply(k, MathContext.DECIMAL128),
        r.inPhase() ? Sense.IN_PHASE : Sense.IN_OPPOSITION);
  }

  private static List<Observation> scaled(List<Observation> all, BigDecimal a, BigDecimal bc) {
    List<Observation> scaled = new ArrayList<>();
    for (Observation o : all) {
      BigDecimal factor = scaled.isEmpty() ? a : bc;
      scaled.add(new Observation(o.leads(), o.ratio().map(factor::multiply), o.sense()));
    }
    return scaled;
  }

  // circuit theory; which mistake it most likely is is practice
  @ParameterizedTest
  @CsvSource(
      delimiter = '|',
      value = {
        "Dyn11|Dyn11|1|AS_RATED|The readings fit Dyn11 as the plate states it.",
        "Dyn11|Dyn5|1|SIDE_REVERSED|The readings fit Dyn11 with all LV windings reversed. A unit of"
            + " group Dyn5 reads so too: look at its plate again.",
        "Dy11|Dy1|1|LEADS_SWAPPED|The readings fit Dy11 with the leads of the same two phases"
            + " swapped on HV and on LV. A unit of group Dy1 reads so too: look at its plate again.",
        "Yd1|Dy1|1|AS_RATED|The readings fit Yd1 as the plate states it.",
        "Ii0|Ii6|4|LEADS_SWAPPED|The readings fit Ii0 with the HV leads 1.1 and 1.2 swapped. They"
            + " fit equally Ii0 with the LV leads 2.1 and 2.2 swapped. They fit equally Ii0 with"
            + " the HV winding 1.1-1.2 reversed inside. They fit equally Ii0 with the LV winding"
            + " 2.1-2.2 reversed inside. No other reading tells these apart: follow the leads by"
            + " eye. A unit of group Ii6 reads so too: look at its plate again."
      })
  void saysWhatReadingsFit(String plate, String unit, int equal, Kind kind, String sentence) {
    Diagnosis d = ConnectionFinder.find(plate(plate), observed(plate, unit));
    assertEquals(sentence, d.sentence());
    assertEquals(kind, d.fits().get(0).kind());
    assertEquals(equal, d.equal());
    assertEquals(Optional.empty(), d.nearest());
    assertEquals(Optional.empty(), d.deciding());
    Hypothesis first = d.fits().get(0);
    assertEquals(first.deviations().size(), first.fitting());
    assertEquals(0, first.open());
    assertEquals(plate, first.group().toString());
    assertEquals(0, first.worst().signum());
  }

  @Test
  void namesOtherConnectionsOnlyAfterThePlate() {
    Diagnosis d = ConnectionFinder.find(plate("Dyn11"), observed("Dyn11", "Dyn11"));
    assertEquals(
        List.of(
            "The readings fit Dyn11 as the plate states it.",
            "The readings fit Yzn11, not Dyn11 as the plate states.",
            "The readings fit Zyn11, not Dyn11 as the plate states."),
        d.fits().stream().map(Hypothesis::sentence).toList());
    assertEquals(List.of(0, 1, 2), d.fits().get(0).toldApart());
    assertEquals(List.of(), d.fits().get(1).toldApart());
  }

  @Test
  void findsTheTapOfAllPhasesAndOfOne() {
    BigDecimal toTap3 = new BigDecimal("0.95");
    List<Observation> sound = observed("Dyn11", "Dyn11");
    Diagnosis all = ConnectionFinder.find(plate("Dyn11"), scaled(sound, toTap3, toTap3));
    assertEquals(Kind.OTHER_TAP, all.fits().get(0).kind());
    assertEquals(
        "The readings fit Dyn11 with the tap changer on position 3, not 2.", all.sentence());
    assertEquals(1, all.equal());
    Diagnosis one = ConnectionFinder.find(plate("Dyn11"), scaled(sound, toTap3, BigDecimal.ONE));
    assertEquals(
        "The readings fit Dyn11 with position 3, not 2, in the HV winding 1U-1V alone.",
        one.sentence());
    assertEquals(List.of(0), one.fits().get(0).toldApart());
  }

  @ParameterizedTest
  @CsvSource({"YNyn0,1U-1N", "ZNzn0,1U-1N", "Dyn1,1U-1W"})
  void namesAWindingByItsEnds(String group, String winding) {
    List<Observation> sound = observed(group, group);
    Diagnosis d =
        ConnectionFinder.find(plate(group), scaled(sound, new BigDecimal("1.05"), BigDecimal.ONE));
    // in a zigzag the other half of the limb belongs to another phase
    String text = d.sentence() + d.nearest().map(Hypothesis::sentence).orElse("");
    assertTrue(text.contains("in the HV winding " + winding + " alone"), text);
  }

  // practice: an LV line voltage where a phase voltage was meant reads 1/√3, on HV √3
  @Test
  void findsLineVoltageTakenForPhaseVoltage() {
    List<Observation> sound = observed("YNyn0", "YNyn0");
    BigDecimal down = BigDecimal.ONE.divide(Roots.THREE, MathContext.DECIMAL128);
    assertEquals(
        "The readings fit YNyn0 with LV taken from line to line instead of line to neutral.",
        ConnectionFinder.find(plate("YNyn0"), scaled(sound, down, down)).sentence());
    assertEquals(
        "The readings fit YNyn0 with HV taken from line to line instead of line to neutral.",
        ConnectionFinder.find(plate("YNyn0"), scaled(sound, Roots.THREE, Roots.THREE)).sentence());
  }

  @Test
  void asksForTheReadingThatDecides() {
    List<Observation> nothing =
        observed("YNyn0", "YNyn0").stream().map(o -> Observation.nothing(o.leads())).toList();
    Diagnosis d = ConnectionFinder.find(plate("YNyn0"), nothing);
    assertEquals(2, d.equal());
    assertEquals(Optional.of("1U-(1V+1W) / 2u-2n"), d.deciding().map(Leads::iec));
    assertEquals(
        "The readings fit YNyn0 with the lead of the HV neutral not connected. They fit equally"
            + " YNyn0 with the lead of the LV neutral not connected. A reading of 1U-(1V+1W) /"
            + " 2u-2n, with its sense, would tell more.",
        d.sentence());
    List<Observation> more = new ArrayList<>(nothing);
    more.add(Observation.nothing(d.deciding().orElseThrow()));
    Diagnosis decided = ConnectionFinder.find(plate("YNyn0"), more);
    assertEquals(1, decided.equal());
    assertEquals(
        "The readings fit YNyn0 with the lead of the LV neutral not connected.",
        decided.sentence());
  }

  @Test
  void namesTheNearestWhenNoneFits() {
    List<Observation> sound = observed("Dyn11", "Dyn11");
    Diagnosis d =
        ConnectionFinder.find(
            plate("Dyn11"), scaled(sound, new BigDecimal("0.98765"), BigDecimal.ONE));
    assertEquals(List.of(), d.fits());
    assertEquals(0, d.equal());
    Hypothesis nearest = d.nearest().orElseThrow();
    assertEquals(Kind.AS_RATED, nearest.kind());
    assertEquals(new BigDecimal("-1.2350"), nearest.worst());
    assertEquals(Optional.of(new BigDecimal("-1.2350")), nearest.deviations().get(0));
    assertEquals(2, nearest.fitting());
    assertEquals(
        "No single mistake and no other group explains all 3 readings within 0.5 %. The readings"
            + " are nearest to Dyn11 as the plate states it.",
        d.sentence());
  }

  @ParameterizedTest
  @CsvSource({"1.005,true", "0.995,true", "1.0050001,false", "0.9949999,false"})
  void theToleranceBelongsToWhatFits(BigDecimal factor, boolean fits) {
    List<Observation> one =
        List.of(Observation.of(Leads.parse("1U-1V / 2u-2v"), K.multiply(factor)));
    Diagnosis d = ConnectionFinder.find(plate("Dd0"), one);
    assertEquals(fits, d.fits().stream().anyMatch(h -> h.kind() == Kind.AS_RATED));
  }

  @Test
  void aRatioOfTheWrongSenseIsFarOff() {
    List<Observation> one =
        List.of(Observation.of(Leads.parse("1U-1V / 2u-2v"), K, Sense.IN_OPPOSITION));
    Diagnosis d = ConnectionFinder.find(plate("Dd0"), one);
    assertTrue(d.fits().stream().noneMatch(h -> h.kind() == Kind.AS_RATED));
    assertTrue(d.fits().stream().anyMatch(h -> h.kind() == Kind.SIDE_REVERSED));
  }

  // derived: U-V alone on a star without neutral depends on reluctances (trade facts 1.5)
  @Test
  void anOpenReadingNeitherConfirmsNorDenies() {
    Leads open = Leads.parse("1U-1V / 2u-2v");
    Diagnosis alone =
        ConnectionFinder.find(plate("Yd1"), List.of(Observation.of(open, new BigDecimal("31"))));
    assertTrue(alone.fits().stream().noneMatch(h -> h.kind() == Kind.AS_RATED));
    List<Observation> all = new ArrayList<>(observed("Yd1", "Yd1"));
    all.add(Observation.of(open, new BigDecimal("31")));
    Diagnosis d = ConnectionFinder.find(plate("Yd1"), all);
    Hypothesis first = d.fits().get(0);
    assertEquals(Kind.AS_RATED, first.kind());
    assertEquals(3, first.fitting());
    assertEquals(1, first.open());
    assertEquals(Optional.empty(), first.deviations().get(3));
    assertTrue(
        first
            .sentence()
            .endsWith(
                "1 of 4 readings depend on reluctances then and neither confirm nor deny it."),
        first.sentence());
  }

  @ParameterizedTest
  @CsvSource({
    "0,IN_PHASE", "45,IN_PHASE", "-45,IN_PHASE", "360,IN_PHASE", "315,IN_PHASE", "-719,IN_PHASE",
    "45.1,", "134.9,", "-90,", "225.1,", "135,IN_OPPOSITION", "-180,IN_OPPOSITION",
    "225,IN_OPPOSITION", "540,IN_OPPOSITION"
  })
  void aDisplacementShowsTheSense(BigDecimal degrees, Sense sense) {
    assertEquals(Optional.ofNullable(sense), Sense.ofDegrees(degrees));
  }

  @Test
  void refusesWhatCannotBe() {
    assertThrows(
        IllegalArgumentException.class, () -> ConnectionFinder.find(plate("Dd0"), List.of()));
    Leads leads = Leads.parse("1U-1V / 2u-2v");
    assertThrows(IllegalArgumentException.class, () -> Observation.of(leads, BigDecimal.ZERO));
    assertThrows(IllegalArgumentException.class, () -> Observation.of(leads, new BigDecimal("-1")));
    assertThrows(IllegalArgumentException.class, () -> new TapRatio(1, BigDecimal.ZERO));
    WindingGroup group = WindingGroup.parse("Dd0");
    assertThrows(
        IllegalArgumentException.class,
        () -> new RatedConnection(group, 4, TAPS, BigDecimal.ONE, CoreForm.THREE_LIMB));
    assertThrows(
        IllegalArgumentException.class,
        () -> new RatedConnection(group, 2, TAPS, BigDecimal.ZERO, CoreForm.THREE_LIMB));
    List<TapRatio> twice = List.of(TAPS.get(0), TAPS.get(0));
    assertThrows(
        IllegalArgumentException.class,
        () -> new RatedConnection(group, 1, twice, BigDecimal.ONE, CoreForm.THREE_LIMB));
    assertEquals(K, plate("Dd0").ratio());
  }

  @Test
  void everyKindHasAWord() {
    assertEquals("line-for-phase", Kind.LINE_FOR_PHASE.word());
    for (Kind kind : Kind.values()) {
      assertEquals(kind.name(), kind.word().replace('-', '_').toUpperCase(Locale.ROOT));
    }
  }
}
