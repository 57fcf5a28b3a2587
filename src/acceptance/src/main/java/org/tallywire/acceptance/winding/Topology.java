package org.tallywire.acceptance.winding;

import java.math.BigDecimal;
import java.math.MathContext;
import java.util.ArrayList;
import java.util.Arrays;
import java.util.LinkedHashMap;
import java.util.List;
import java.util.Map;
import java.util.Optional;
import java.util.OptionalInt;
import java.util.concurrent.ConcurrentHashMap;
import java.util.stream.Stream;
import org.apache.commons.math3.fraction.BigFraction;
import org.apache.commons.math3.fraction.BigFractionField;
import org.apache.commons.math3.linear.Array2DRowFieldMatrix;
import org.apache.commons.math3.linear.FieldDecompositionSolver;
import org.apache.commons.math3.linear.FieldLUDecomposition;
import org.apache.commons.math3.linear.FieldMatrix;
import org.apache.commons.math3.linear.FieldVector;
import org.tallywire.acceptance.winding.Expectation.NoSuchTerminal;
import org.tallywire.acceptance.winding.Expectation.NoVoltage;
import org.tallywire.acceptance.winding.Expectation.Ratio;
import org.tallywire.acceptance.winding.Expectation.ShortCircuit;
import org.tallywire.acceptance.winding.Side.Build;
import org.tallywire.acceptance.winding.WindingGroup.Connection;

/**
 * Two sides as windings on limbs between terminals, and what follows from it, exact: the clock
 * number, the winding ratio, and what leads read. Source: circuit theory of ideal windings
 * (derived); agrees with the winding netlists of the Modelica Standard Library.
 *
 * <p>A voltage is a sum of limb voltages per turn. The exciting voltage, tied terminals, closed
 * loops such as a delta, and a three-limb core each give one equation. An LV pair whose voltage is
 * a sum of these equations has an exact reading; any other depends on reluctances.
 */
public final class Topology {

  private static final Map<WindingGroup, Topology> KNOWN = new ConcurrentHashMap<>();

  private final Side hv;
  private final Side lv;

  /** Square of the factor that turns a ratio of turns into a reading. */
  private final BigFraction scale;

  private final boolean turnsTheLimbs;

  /** What was asked of it before: the equations take their time. */
  private final Map<Question, Optional<Expectation>> decided = new ConcurrentHashMap<>();

  private record Question(Leads leads, CoreForm core) {}

  private Topology(Side hv, Side lv, BigFraction scale, boolean turnsTheLimbs) {
    this.hv = hv;
    this.lv = lv;
    this.scale = scale;
    this.turnsTheLimbs = turnsTheLimbs;
  }

  /**
   * Returns the topology of two sides; its readings are voltage ratios for the turns given.
   *
   * @param hv windings between nodes named by {@link Terminal#iec()} or any other name
   * @param lv likewise
   * @throws IllegalArgumentException if the windings of a side are not joined, or there are none
   */
  public static Topology of(List<Winding> hv, List<Winding> lv) {
    return new Topology(Side.of(hv), Side.of(lv), BigFraction.ONE, false);
  }

  /**
   * Returns windings that make a group: each phase of LV on the limb of the same phase of HV where
   * that can be, LV not reversed where that can be. Its readings are for a ratio of rated voltages
   * of 1. Neutrals that are not brought out are there all the same.
   */
  public static Topology of(WindingGroup group) {
    return KNOWN.computeIfAbsent(group, Topology::search);
  }

  private static Topology search(WindingGroup group) {
    if (group.hv() == Connection.SINGLE) {
      Winding lv = new Winding(1, BigDecimal.ONE, Terminal.LV_1.iec(), Terminal.LV_2.iec());
      return of(
          List.of(new Winding(1, BigDecimal.ONE, Terminal.HV_1.iec(), Terminal.HV_2.iec())),
          List.of(group.hour() == 0 ? lv : lv.reversed()));
    }
    return Stream.of(0, 1, 2)
        .flatMap(
            shift -> Stream.of(false, true).flatMap(reversed -> builds(group, shift, reversed)))
        .filter(t -> t.clockHour().equals(OptionalInt.of(group.hour())))
        .findFirst()
        .map(t -> new Topology(t.hv, t.lv, t.windingRatioSquare(), t.turnsTheLimbs))
        .orElseThrow(() -> new IllegalStateException("no windings make group " + group));
  }

  private static Stream<Topology> builds(WindingGroup group, int shift, boolean reversed) {
    return Stream.of(true, false)
        .flatMap(
            hvForward ->
                Stream.of(true, false)
                    .map(
                        lvForward ->
                            new Topology(
                                Side.of(new Build(hvForward, 0, false).windings(group.hv(), true)),
                                Side.of(
                                    new Build(lvForward, shift, reversed)
                                        .windings(group.lv(), false)),
                                BigFraction.ONE,
                                shift != 0)));
  }

  /** Returns the HV windings. */
  public List<Winding> hv() {
    return hv.windings();
  }

  /** Returns the LV windings. */
  public List<Winding> lv() {
    return lv.windings();
  }

  /** Tells whether u and U can be on limb 1 both. */
  boolean keepsTheLimbs() {
    return !turnsTheLimbs;
  }

  /** Returns the topology with other windings, and readings in the same unit. */
  Topology with(List<Winding> otherHv, List<Winding> otherLv) {
    return new Topology(Side.of(otherHv), Side.of(otherLv), scale, turnsTheLimbs);
  }

  /** Returns the topology with readings for so many times the ratio of voltages. */
  Topology times(BigDecimal ratio) {
    BigFraction factor = Fractions.of(ratio);
    return new Topology(hv, lv, scale.multiply(factor).multiply(factor), turnsTheLimbs);
  }

  /**
   * Returns by how many hours of 30° LV lags behind HV with balanced voltages of phase order U, V,
   * W; empty if LV is then not balanced in the same order.
   */
  public OptionalInt clockHour() {
    if (hv.potentials().containsKey(Terminal.HV_1.iec())) {
      Expectation reading =
          reads(
              Leads.of(Terminal.HV_1, Terminal.HV_2, Terminal.LV_1, Terminal.LV_2),
              CoreForm.FREE_LIMBS);
      return reading instanceof Ratio r ? OptionalInt.of(r.inPhase() ? 0 : 6) : OptionalInt.empty();
    }
    return balanced()
        .flatMap(p -> balancedLv(p))
        .map(Phasor::hoursBehindOne)
        .orElse(OptionalInt.empty());
  }

  private static Optional<Phasor> balancedLv(Map<String, Phasor> phasors) {
    Phasor u = phasor(phasors, Terminal.LV_U);
    boolean inOrder =
        Terminal.LV_LINES.stream()
            .allMatch(t -> phasor(phasors, t).equals(u.times(Phasor.ofPhase(t.phase()))));
    return inOrder ? Optional.of(u) : Optional.empty();
  }

  private static Phasor phasor(Map<String, Phasor> phasors, Terminal terminal) {
    return phasors.getOrDefault(terminal.iec(), Phasor.ZERO);
  }

  /**
   * Returns turns of an HV phase winding over turns of a whole LV phase winding, for a ratio of
   * rated line-to-line voltages of 1, to 34 digits; the topology must have a clock number, and one
   * turn a phase on both sides.
   *
   * @throws IllegalStateException if LV is not balanced
   */
  public BigDecimal windingRatioFactor() {
    return Fractions.root(windingRatioSquare()).round(MathContext.DECIMAL128);
  }

  private BigFraction windingRatioSquare() {
    if (hv.potentials().containsKey(Terminal.HV_1.iec())) {
      return BigFraction.ONE;
    }
    return balanced()
        .flatMap(Topology::balancedLv)
        .map(Phasor::square)
        .orElseThrow(() -> new IllegalStateException("the LV side is not balanced"));
  }

  /**
   * Returns the phasor of every node with balanced voltages, each side about the centre of its line
   * terminals, HV terminal U being 1; empty if HV cannot have balanced voltages.
   */
  Optional<Map<String, Phasor>> balanced() {
    Optional<FieldVector<BigFraction>> uv = hv.voltage(Terminal.HV_U.iec(), Terminal.HV_V.iec());
    Optional<FieldVector<BigFraction>> vw = hv.voltage(Terminal.HV_V.iec(), Terminal.HV_W.iec());
    boolean complete =
        Terminal.LV_LINES.stream().allMatch(t -> lv.potentials().containsKey(t.iec()));
    if (uv.isEmpty() || vw.isEmpty() || !complete) {
      return Optional.empty();
    }
    FieldMatrix<BigFraction> equations =
        new Array2DRowFieldMatrix<>(BigFractionField.getInstance(), 3, 3);
    equations.setRowVector(0, uv.get());
    equations.setRowVector(1, vw.get());
    equations.setRowVector(2, Span.ones());
    FieldDecompositionSolver<BigFraction> solver =
        new FieldLUDecomposition<>(equations).getSolver();
    if (!solver.isNonSingular()) {
      return Optional.empty();
    }
    Phasor first = Phasor.ofPhase(0).minus(Phasor.ofPhase(1));
    Phasor second = Phasor.ofPhase(1).minus(Phasor.ofPhase(2));
    FieldVector<BigFraction> a = solver.solve(Span.vector(first.a(), second.a(), BigFraction.ZERO));
    FieldVector<BigFraction> b = solver.solve(Span.vector(first.b(), second.b(), BigFraction.ZERO));
    Map<String, Phasor> phasors = new LinkedHashMap<>();
    put(phasors, hv, Terminal.HV_LINES, a, b);
    put(phasors, lv, Terminal.LV_LINES, a, b);
    return Optional.of(phasors);
  }

  private static void put(
      Map<String, Phasor> phasors,
      Side side,
      List<Terminal> lines,
      FieldVector<BigFraction> a,
      FieldVector<BigFraction> b) {
    Map<String, Phasor> own = new LinkedHashMap<>();
    side.potentials().forEach((k, v) -> own.put(k, new Phasor(v.dotProduct(a), v.dotProduct(b))));
    Phasor centre =
        lines.stream()
            .map(t -> phasor(own, t))
            .reduce(Phasor.ZERO, Phasor::plus)
            .times(BigFraction.ONE.divide(3));
    own.forEach((node, phasor) -> phasors.put(node, phasor.minus(centre)));
  }

  /** Returns what the leads read with the given form of core. */
  public Expectation reads(Leads leads, CoreForm core) {
    return decided(leads, core).orElseGet(() -> Remedy.undetermined(this, leads, core));
  }

  /** Returns what the leads read; empty if the connection alone does not decide it. */
  Optional<Expectation> decided(Leads leads, CoreForm core) {
    return decided.computeIfAbsent(
        new Question(leads, core), asked -> decide(asked.leads(), asked.core()));
  }

  private Optional<Expectation> decide(Leads leads, CoreForm core) {
    Optional<Terminal> missing = missing(leads);
    if (missing.isPresent()) {
      return Optional.of(new NoSuchTerminal(missing.get()));
    }
    Span span = new Span();
    zeros(leads).forEach(zero -> span.add(zero, BigFraction.ZERO));
    if (!span.add(voltage(leads.excitePlus(), leads.exciteMinus()), BigFraction.ONE)) {
      return Optional.of(new ShortCircuit());
    }
    if (core == CoreForm.THREE_LIMB && limbs() == 3) {
      // comes last: where windings force another sum, flux closes beside the core
      span.add(Span.ones(), BigFraction.ZERO);
    }
    return span.valueOf(voltage(leads.measurePlus(), leads.measureMinus())).map(this::reading);
  }

  private Expectation reading(BigFraction lvVoltage) {
    if (lvVoltage.equals(BigFraction.ZERO)) {
      return new NoVoltage();
    }
    BigFraction square = scale.divide(lvVoltage.multiply(lvVoltage));
    return new Ratio(
        Fractions.root(square).round(MathContext.DECIMAL128),
        lvVoltage.compareTo(BigFraction.ZERO) > 0);
  }

  /** Tells whether the leads read a ratio. */
  boolean readsRatio(Leads leads, CoreForm core) {
    return decided(leads, core).filter(Ratio.class::isInstance).isPresent();
  }

  private Optional<Terminal> missing(Leads leads) {
    return Arrays.stream(Terminal.values())
        .filter(leads::uses)
        .filter(t -> !side(t).potentials().containsKey(t.iec()))
        .findFirst();
  }

  private List<FieldVector<BigFraction>> zeros(Leads leads) {
    List<FieldVector<BigFraction>> zeros = new ArrayList<>(hv.loops());
    zeros.addAll(lv.loops());
    leads.ties().forEach(tie -> zeros.add(voltage(tie.one(), tie.other())));
    return zeros;
  }

  private long limbs() {
    return Stream.concat(hv().stream(), lv().stream()).map(Winding::limb).distinct().count();
  }

  private FieldVector<BigFraction> voltage(Terminal plus, Terminal minus) {
    return side(plus).voltage(plus.iec(), minus.iec()).orElseThrow();
  }

  private Side side(Terminal terminal) {
    return terminal.hv() ? hv : lv;
  }
}
