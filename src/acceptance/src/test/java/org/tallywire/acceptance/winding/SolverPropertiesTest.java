package org.tallywire.acceptance.winding;

import static org.junit.jupiter.api.Assertions.assertEquals;
import static org.junit.jupiter.api.Assertions.assertTrue;

import java.math.BigDecimal;
import java.math.MathContext;
import java.math.RoundingMode;
import java.util.List;
import java.util.Optional;
import java.util.OptionalDouble;
import java.util.OptionalInt;
import java.util.Random;
import java.util.function.UnaryOperator;
import org.junit.jupiter.api.Test;
import org.junit.jupiter.api.TestInstance;
import org.junit.jupiter.api.TestInstance.Lifecycle;
import org.junit.jupiter.params.ParameterizedTest;
import org.junit.jupiter.params.provider.CsvSource;
import org.junit.jupiter.params.provider.EnumSource;
import org.tallywire.acceptance.Rounds;
import org.tallywire.acceptance.winding.Expectation.NoSuchTerminal;
import org.tallywire.acceptance.winding.Expectation.NoVoltage;
import org.tallywire.acceptance.winding.Expectation.Ratio;
import org.tallywire.acceptance.winding.Expectation.ShortCircuit;
import org.tallywire.acceptance.winding.Expectation.Undetermined;

@TestInstance(Lifecycle.PER_CLASS)
class SolverPropertiesTest {

  private final Random random = seeded();

  private static Random seeded() {
    long seed = System.nanoTime();
    System.out.println("seed=" + seed);
    return new Random(seed);
  }

  private List<Double> coupling() {
    return Bench.coupling(random);
  }

  private <T> T any(List<T> list) {
    return list.get(random.nextInt(list.size()));
  }

  // circuit theory: a reading that the connection decides is the same with every reluctance, and
  // one that it leaves open is not
  @ParameterizedTest
  @EnumSource(CoreForm.class)
  void agreesWithANumericalModelOfTheCore(CoreForm core) {
    int[] seen = new int[3];
    int rounds = Rounds.of(600);
    for (int i = 0; i < rounds; i++) {
      WindingGroup group = Groups.withAllNeutrals(any(Groups.bare()));
      Topology topology = Topology.of(group);
      Leads leads = any(LeadPlan.readable(group));
      if (random.nextInt(3) == 0) {
        leads = leads.tied(Terminal.LV_V, any(List.of(Terminal.LV_U, Terminal.LV_W)));
      }
      Bench one = bench(topology, core);
      Bench other = bench(topology, core);
      String what = group + " " + leads.iec() + " " + core;
      OptionalDouble first = one.lvVoltage(leads);
      OptionalDouble second = other.lvVoltage(leads);
      Optional<Expectation> decided = topology.decided(leads, core);
      if (decided.isEmpty()) {
        assertTrue(Math.abs(first.orElseThrow() - second.orElseThrow()) > 1e-7, what);
        seen[0]++;
      } else if (decided.get() instanceof Ratio r) {
        double factor = group.windingRatioFactor().doubleValue();
        double sign = r.inPhase() ? 1 : -1;
        assertEquals(sign * r.ratio().doubleValue(), factor / first.orElseThrow(), 1e-8, what);
        assertEquals(first.orElseThrow(), second.orElseThrow(), 1e-8, what);
        seen[1]++;
      } else if (decided.get() instanceof NoVoltage) {
        assertEquals(0, first.orElseThrow(), 1e-8, what);
      } else {
        assertTrue(decided.get() instanceof ShortCircuit, what);
        assertTrue(first.isEmpty(), what);
        seen[2]++;
      }
    }
    assertTrue(
        seen[0] > rounds / 15 && seen[1] > rounds / 15,
        () -> seen[0] + " open, " + seen[1] + " decided");
  }

  private Bench bench(Topology topology, CoreForm core) {
    return new Bench(topology.hv(), topology.lv(), coupling(), core == CoreForm.THREE_LIMB);
  }

  // trade formula for one terminal against two tied (derived; checked on netlists of the Modelica
  // Standard Library): R = K / (2/3 (cos θp − cos θq)), no flux outside three limbs
  @Test
  void readsTheFormulaForTiedTerminals() {
    int readings = 0;
    for (WindingGroup bare : Groups.bare()) {
      WindingGroup group = Groups.withAllNeutrals(bare);
      for (Leads leads : LeadPlan.readable(group)) {
        if (leads.ties().isEmpty()) {
          continue;
        }
        double voltage =
            2.0
                / 3
                * (cosine(leads.measurePlus(), group, leads)
                    - cosine(leads.measureMinus(), group, leads));
        Expectation e = Topology.of(group).reads(leads, CoreForm.THREE_LIMB);
        if (Math.abs(voltage) < 1e-12) {
          assertTrue(e instanceof NoVoltage, () -> group + " " + leads.iec() + " " + e);
        } else {
          assertTrue(e instanceof Ratio, () -> group + " " + leads.iec() + " " + e);
          Ratio r = (Ratio) e;
          assertEquals(
              1 / voltage,
              r.inPhase() ? r.ratio().doubleValue() : -r.ratio().doubleValue(),
              1e-12,
              () -> group + " " + leads.iec());
          readings++;
        }
      }
    }
    assertTrue(readings > 1080, "readings: " + readings);
  }

  private static double cosine(Terminal lv, WindingGroup group, Leads leads) {
    return lv.neutral()
        ? 0
        : Math.cos(
            Math.toRadians(
                30.0 * group.hour() + 120 * lv.phase() - 120 * leads.excitePlus().phase()));
  }

  // trade facts, V1 and the factors of the winding ratio (found: Modelica Standard Library)
  @Test
  void everyGroupHasItsHourAndItsWindingRatio() {
    for (WindingGroup group : Groups.all()) {
      Topology topology = Topology.of(group);
      assertEquals(OptionalInt.of(group.hour()), topology.clockHour());
      // the topology of the group alone, with one turn a phase, without the group's factor
      BigDecimal derived = Topology.of(topology.hv(), topology.lv()).windingRatioFactor();
      BigDecimal apart = derived.subtract(group.windingRatioFactor()).abs();
      assertTrue(apart.compareTo(new BigDecimal("1e-32")) < 0, () -> group + " off by " + apart);
    }
    assertEquals(54, Groups.bare().size());
  }

  private static List<Winding> renamed(List<Winding> windings, UnaryOperator<Terminal> to) {
    return windings.stream()
        .map(w -> new Winding(w.limb(), w.turns(), renamed(w.from(), to), renamed(w.to(), to)))
        .toList();
  }

  private static String renamed(String node, UnaryOperator<Terminal> to) {
    return Terminal.ofIec(node).map(to).map(Terminal::iec).orElse(node);
  }

  private static Terminal swapVw(Terminal t) {
    return switch (t) {
      case HV_V -> Terminal.HV_W;
      case HV_W -> Terminal.HV_V;
      case LV_V -> Terminal.LV_W;
      case LV_W -> Terminal.LV_V;
      default -> t;
    };
  }

  // clock definition: naming LV one phase on lets u lag by 120° less; V7: reversing the phase
  // order turns the clock back; all LV windings reversed is half a turn (derived)
  @Test
  void theHourFollowsTheNamesOfTheTerminals() {
    for (WindingGroup group : Groups.bare()) {
      Topology t = Topology.of(group);
      int h = group.hour();
      assertEquals(
          OptionalInt.of((h + 8) % 12),
          Topology.of(t.hv(), renamed(t.lv(), x -> x.turned(1))).clockHour(),
          group.toString());
      assertEquals(
          OptionalInt.of((h + 4) % 12),
          Topology.of(t.hv(), renamed(t.lv(), x -> x.turned(2))).clockHour());
      assertEquals(
          OptionalInt.of((12 - h) % 12),
          Topology.of(
                  renamed(t.hv(), SolverPropertiesTest::swapVw),
                  renamed(t.lv(), SolverPropertiesTest::swapVw))
              .clockHour());
      assertEquals(
          OptionalInt.of((h + 6) % 12),
          Topology.of(t.hv(), t.lv().stream().map(Winding::reversed).toList()).clockHour());
      assertEquals(
          OptionalInt.empty(),
          Topology.of(t.hv(), renamed(t.lv(), SolverPropertiesTest::swapVw)).clockHour());
    }
  }

  private static Terminal otherSide(Terminal t) {
    return switch (t) {
      case HV_U -> Terminal.LV_U;
      case HV_V -> Terminal.LV_V;
      case HV_W -> Terminal.LV_W;
      case HV_N -> Terminal.LV_N;
      case LV_U -> Terminal.HV_U;
      case LV_V -> Terminal.HV_V;
      case LV_W -> Terminal.HV_W;
      case LV_N -> Terminal.HV_N;
      default -> t;
    };
  }

  // derived: from the other side the clock runs the other way and the winding ratio is reciprocal
  @Test
  void theSidesChangePlaces() {
    for (WindingGroup group : Groups.bare()) {
      Topology t = Topology.of(group);
      Topology swapped = Topology.of(inside(t.lv()), inside(t.hv()));
      assertEquals(OptionalInt.of((12 - group.hour()) % 12), swapped.clockHour());
      BigDecimal product =
          swapped.windingRatioFactor().multiply(group.windingRatioFactor(), MathContext.DECIMAL64);
      assertEquals(0, product.setScale(14, RoundingMode.HALF_EVEN).compareTo(BigDecimal.ONE));
    }
  }

  private static List<Winding> inside(List<Winding> windings) {
    return renamed(windings, SolverPropertiesTest::otherSide);
  }

  // circuit theory: three phases of a balanced unit read alike, and ratios go with turns
  @Test
  void phasesAreAlikeAndRatiosGoWithTurns() {
    BigDecimal k = new BigDecimal("25.4");
    for (WindingGroup bare : Groups.bare()) {
      WindingGroup group = Groups.withAllNeutrals(bare);
      Topology t = Topology.of(group);
      Topology scaled =
          t.with(t.hv().stream().map(w -> w.withTurns(w.turns().multiply(k))).toList(), t.lv());
      for (int i = 0; i < 20; i++) {
        Leads leads = any(LeadPlan.readable(group));
        Optional<Expectation> e = t.decided(leads, CoreForm.FREE_LIMBS);
        assertEquals(e, t.decided(leads.mapped(x -> x.turned(1)), CoreForm.FREE_LIMBS));
        if (e.isPresent() && e.get() instanceof Ratio r) {
          Ratio s = (Ratio) scaled.decided(leads, CoreForm.FREE_LIMBS).orElseThrow();
          assertEquals(r.inPhase(), s.inPhase());
          assertTrue(
              r.ratio().multiply(k).subtract(s.ratio()).abs().compareTo(new BigDecimal("1e-30"))
                  < 0);
        }
      }
    }
  }

  // found: solution of the Modelica Standard Library, phasor of LV u with HV u at 1∠0°
  @ParameterizedTest
  @CsvSource({"Dy11,30", "Yd5,-150", "Dz6,180"})
  void uHasThePhasorOfTheClock(String group, double degrees) {
    Phasor u = Topology.of(WindingGroup.parse(group)).balanced().orElseThrow().get("2u");
    assertTrue(u != null);
    double re = u.a().doubleValue() - u.b().doubleValue() / 2;
    double im = u.b().doubleValue() * Math.sqrt(3) / 2;
    double turn = Math.toDegrees(Math.atan2(im, re)) - degrees;
    assertEquals(0, Math.IEEEremainder(turn, 360), 1e-9);
  }

  // trade facts 1.5: a wye-delta without HV neutral; the sentences say what to do instead
  @ParameterizedTest
  @CsvSource({
    "Yd1,1U-1V / 2u-2v,THREE_LIMB,Tie two HV terminals and measure 1U-(1V+1W) / 2u-2v.",
    "Yd1,1U-1V / 2u-2v,FREE_LIMBS,Tie two HV terminals and measure 1U-(1V+1W) / 2u-2v.",
    "Dyn11,1U-1V / 2v-2n,FREE_LIMBS,Tie two HV terminals and measure (1U+1W)-1V / 2v-2n.",
    "YNyn0,1U-1N / 2u-2v,FREE_LIMBS,Tie two HV terminals and measure 1U-(1N+1V) / 2u-2v."
  })
  void saysWhyAPairCannotBeReadAndWhatToDo(
      String group, String leads, CoreForm core, String remedy) {
    Expectation e = Topology.of(WindingGroup.parse(group)).reads(Leads.parse(leads), core);
    assertTrue(e instanceof Undetermined, e::toString);
    Undetermined u = (Undetermined) e;
    assertTrue(u.reason().startsWith(leads + " cannot be read: the flux"), u.reason());
    assertEquals(remedy, u.remedy());
  }

  @Test
  void saysWhenOnlyAThreeLimbCoreDecides() {
    Topology t = Topology.of(WindingGroup.parse("YNyn0"));
    Leads tied = Leads.parse("1U-(1V+1W) / 2u-2n");
    assertTrue(t.reads(tied, CoreForm.THREE_LIMB) instanceof Ratio);
    Undetermined u = (Undetermined) t.reads(tied, CoreForm.FREE_LIMBS);
    assertTrue(u.reason().endsWith("; only a three-limb core would decide it."), u.reason());
  }

  @Test
  void everyRemedyIsReadable() {
    int helped = 0;
    int helpless = 0;
    for (WindingGroup bare : Groups.bare()) {
      WindingGroup group = Groups.withAllNeutrals(bare);
      Topology t = Topology.of(group);
      for (int i = 0; i < 20; i++) {
        Leads leads = any(LeadPlan.readable(group));
        for (CoreForm core : CoreForm.values()) {
          if (t.reads(leads, core) instanceof Undetermined u) {
            String text = u.remedy().replaceAll("^.*easure ", "").replaceAll("\\.$", "");
            if (u.remedy().startsWith("No tie")) {
              helpless++;
              continue;
            }
            helped++;
            assertTrue(t.readsRatio(Leads.parse(text), core), () -> group + " " + u.remedy());
          }
        }
      }
    }
    assertTrue(helped > 10 * helpless, helped + " remedies, " + helpless + " without");
  }

  @Test
  void aDeltaHasNoNeutralAndTiedEndsAreAShortCircuit() {
    Topology t = Topology.of(WindingGroup.parse("Dyn11"));
    assertEquals(
        new NoSuchTerminal(Terminal.HV_N),
        t.reads(Leads.parse("1U-1N / 2u-2n"), CoreForm.FREE_LIMBS));
    assertEquals(
        new ShortCircuit(),
        t.reads(
            Leads.parse("1U-1V / 2u-2n").tied(Terminal.HV_U, Terminal.HV_V), CoreForm.FREE_LIMBS));
    assertEquals(new NoVoltage(), t.reads(Leads.parse("1U-(1V+1W) / 2v-2n"), CoreForm.FREE_LIMBS));
  }
}
