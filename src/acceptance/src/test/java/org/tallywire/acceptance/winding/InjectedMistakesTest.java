package org.tallywire.acceptance.winding;

import static org.junit.jupiter.api.Assertions.assertEquals;
import static org.junit.jupiter.api.Assertions.assertTrue;

import java.math.BigDecimal;
import java.math.MathContext;
import java.util.ArrayList;
import java.util.Collections;
import java.util.EnumMap;
import java.util.List;
import java.util.Map;
import java.util.OptionalDouble;
import java.util.Random;
import java.util.function.UnaryOperator;
import org.junit.jupiter.api.Test;
import org.tallywire.acceptance.Rounds;
import org.tallywire.acceptance.winding.Expectation.Ratio;
import org.tallywire.acceptance.winding.Hypothesis.Kind;
import org.tallywire.acceptance.winding.Observation.Sense;
import org.tallywire.acceptance.winding.RatedConnection.TapRatio;

/** Makes mistakes on a numerical model of a unit, and looks whether they are found again. */
class InjectedMistakesTest {

  private static final int ROUNDS = Rounds.of(16);
  private static final List<Kind> KINDS =
      List.of(
          Kind.AS_RATED,
          Kind.LEADS_SWAPPED,
          Kind.LEADS_MOVED_ON,
          Kind.WINDING_REVERSED,
          Kind.SIDE_REVERSED,
          Kind.OTHER_TAP,
          Kind.OTHER_TAP_ON_ONE_PHASE,
          Kind.OTHER_GROUP);
  private static final MathContext SIX = new MathContext(6);
  private static final BigDecimal OTHER_TAP = new BigDecimal("1.05");

  /** A unit and leads that are not as they should be. */
  private record Real(
      Kind kind,
      String words,
      List<Winding> hv,
      List<Winding> lv,
      UnaryOperator<Terminal> leads,
      double factor,
      WindingGroup group) {}

  private final long seed = System.nanoTime();
  private final Random random = new Random(seed);

  private <T> T any(List<T> list) {
    return list.get(random.nextInt(list.size()));
  }

  @Test
  void areFoundAgain() {
    System.out.println("seed=" + seed);
    Map<Kind, Integer> first = new EnumMap<>(Kind.class);
    for (int round = 0; round < ROUNDS; round++) {
      WindingGroup group = any(Groups.all());
      BigDecimal k = new BigDecimal(1 + random.nextDouble() * 60, SIX);
      RatedConnection plate =
          new RatedConnection(
              group,
              1,
              List.of(new TapRatio(1, k), new TapRatio(2, k.multiply(OTHER_TAP))),
              new BigDecimal("0.3"),
              CoreForm.THREE_LIMB);
      Real real = real(group, KINDS.get(round % KINDS.size()));
      List<Observation> observations = measured(real, plate);
      Diagnosis d = ConnectionFinder.find(plate, observations);
      String what = "seed=%d round %d %s %s: %s".formatted(seed, round, group, real, d.sentence());
      assertTrue(
          d.fits().stream()
              .anyMatch(
                  h ->
                      h.kind() == real.kind()
                          && h.group().equals(real.group())
                          && h.sentence().contains(real.words())),
          what);
      assertEquals(real.kind() == Kind.AS_RATED, d.fits().get(0).kind() == Kind.AS_RATED, what);
      if (d.fits().get(0).kind() == real.kind()) {
        first.merge(real.kind(), 1, Integer::sum);
      }
      if (round % 4 != 0) {
        continue;
      }
      Collections.shuffle(observations, random);
      assertEquals(d.sentence(), ConnectionFinder.find(plate, observations).sentence(), what);
    }
    assertTrue(first.values().stream().mapToInt(i -> i).sum() > ROUNDS / 2, first::toString);
  }

  private Real real(WindingGroup group, Kind kind) {
    return switch (kind) {
      case LEADS_SWAPPED, LEADS_MOVED_ON -> otherLeads(group, kind);
      case WINDING_REVERSED, SIDE_REVERSED, OTHER_TAP_ON_ONE_PHASE -> otherWindings(group, kind);
      case OTHER_TAP ->
          built(kind, "position 2, not 1", group, Topology.of(group), x -> x, OTHER_TAP);
      case OTHER_GROUP -> otherGroup(group);
      default -> built(Kind.AS_RATED, "plate", group, Topology.of(group), x -> x, BigDecimal.ONE);
    };
  }

  private static Real built(
      Kind kind,
      String words,
      WindingGroup group,
      Topology t,
      UnaryOperator<Terminal> leads,
      BigDecimal ofRatio) {
    double factor = group.windingRatioFactor().multiply(ofRatio).doubleValue();
    return new Real(kind, words, t.hv(), t.lv(), leads, factor, group);
  }

  private Real otherLeads(WindingGroup group, Kind kind) {
    boolean onHv = random.nextBoolean();
    Terminal one = any(Terminal.lines(onHv));
    Terminal other = one.turned(1);
    boolean swapped = kind == Kind.LEADS_SWAPPED;
    return built(
        kind,
        swapped
            ? "%s and %s swapped".formatted(one.iec(), other.iec())
            : onHv ? "of 1U on 1V" : "of 2u on 2v",
        group,
        Topology.of(group),
        swapped
            ? x -> x == one ? other : x == other ? one : x
            : x -> x.hv() == onHv ? x.turned(1) : x,
        BigDecimal.ONE);
  }

  private Real otherWindings(WindingGroup group, Kind kind) {
    Topology t = Topology.of(group);
    int phase = random.nextInt(3);
    boolean onHv = kind == Kind.OTHER_TAP_ON_ONE_PHASE || random.nextBoolean();
    String end = Terminal.lines(onHv).get(phase).iec();
    if (kind == Kind.SIDE_REVERSED) {
      Topology reversed = Topology.of(t.hv(), t.lv().stream().map(Winding::reversed).toList());
      return built(kind, "all LV windings reversed", group, reversed, x -> x, BigDecimal.ONE);
    }
    UnaryOperator<Winding> change =
        kind == Kind.WINDING_REVERSED
            ? Winding::reversed
            : w -> w.withTurns(w.turns().multiply(OTHER_TAP));
    Topology changed =
        Topology.of(
            onHv ? changed(t.hv(), phase, change) : t.hv(),
            onHv ? t.lv() : changed(t.lv(), phase, change));
    String words =
        kind == Kind.WINDING_REVERSED
            ? onHv ? "the HV winding" : "the LV winding"
            : "position 2, not 1, in the HV winding " + end;
    return built(kind, words, group, changed, x -> x, BigDecimal.ONE);
  }

  private Real otherGroup(WindingGroup plate) {
    List<WindingGroup> alike =
        Groups.all().stream()
            .filter(g -> g.hvNeutral() == plate.hvNeutral() && g.lvNeutral() == plate.lvNeutral())
            .filter(g -> g.hv() == plate.hv() && g.lv() == plate.lv() && !g.equals(plate))
            .toList();
    WindingGroup unit = any(alike);
    return built(
        Kind.OTHER_GROUP, unit.toString(), unit, Topology.of(unit), x -> x, BigDecimal.ONE);
  }

  private static List<Winding> changed(
      List<Winding> windings, int phase, UnaryOperator<Winding> change) {
    String own =
        windings.get(0).from().startsWith("1")
            ? "1" + "UVW".charAt(phase)
            : "2" + "uvw".charAt(phase);
    int each = windings.size() / 3;
    List<Winding> changed = new ArrayList<>();
    for (int i = 0; i < windings.size(); i++) {
      Winding w = windings.get(i);
      boolean mine =
          each == 2
              ? w.from().startsWith(own) || w.to().startsWith(own)
              : windings.indexOf(w) == phase;
      changed.add(mine ? change.apply(w) : w);
    }
    return changed;
  }

  /** Returns every reading the plate promises, as the real unit gives it, to 0.1 %. */
  private List<Observation> measured(Real real, RatedConnection plate) {
    Topology promised = Topology.of(plate.group());
    List<Leads> leads =
        LeadPlan.readable(plate.group()).stream()
            .filter(l -> promised.readsRatio(l, plate.core()))
            .filter(l -> !l.ties().isEmpty() || random.nextInt(10) == 0)
            .limit(8)
            .toList();
    List<Observation> observations = new ArrayList<>();
    for (String phase : plate.group().phases()) {
      observations.add(measured(real, plate, LeadPlan.of(plate.group()).leads(phase)));
    }
    leads.forEach(l -> observations.add(measured(real, plate, l)));
    return observations;
  }

  private Observation measured(Real real, RatedConnection plate, Leads meant) {
    Leads leads = meant.mapped(real.leads());
    BigDecimal promise = ((Ratio) Topology.of(plate.group()).reads(meant, plate.core())).ratio();
    while (true) {
      OptionalDouble lv = bench(real).lvVoltage(leads);
      OptionalDouble again = bench(real).lvVoltage(leads);
      if (lv.isEmpty() || Math.abs(lv.getAsDouble()) < 1e-9) {
        return Observation.nothing(meant);
      }
      double ratio = real.factor() / lv.getAsDouble();
      boolean decided = Math.abs(lv.getAsDouble() - again.orElseThrow()) < 1e-9;
      boolean byChance = Math.abs(Math.abs(ratio) / promise.doubleValue() - 1) < 0.01;
      if (decided || !byChance) {
        double noise = 1 + (random.nextDouble() - 0.5) * 0.002;
        BigDecimal shown =
            new BigDecimal(Math.abs(ratio) * noise * plate.ratio().doubleValue(), SIX);
        return Observation.of(meant, shown, ratio > 0 ? Sense.IN_PHASE : Sense.IN_OPPOSITION);
      }
    }
  }

  private Bench bench(Real real) {
    List<Double> coupling = Bench.coupling(random);
    return new Bench(real.hv(), real.lv(), coupling, true);
  }
}
