package org.tallywire.simulator.physics;

import java.util.Map;
import java.util.Optional;
import java.util.OptionalDouble;
import org.apache.commons.math3.analysis.solvers.IllinoisSolver;
import org.tallywire.simulator.physics.TransientEquations.Drive;

/**
 * A network while a source of direct current acts on it, step by step in time.
 *
 * <p>Each step is that of the diagonally implicit Runge–Kutta method SDIRK4 with its third-order
 * companion for the error (Hairer and Wanner, Solving Ordinary Differential Equations II, IV.6,
 * table 6.5; coefficients from memory, their order conditions are tested). It is L-stable, so that
 * time constants far shorter than the step (shorted turns, voltmeters) die away and hardly shorten
 * it, and its last stage fulfils the equations exactly, loops of resistors alone too. The library
 * has only explicit methods, which such time constants would force to steps as short.
 */
final class Transient implements DirectCurrent {

  static final double GAMMA = 0.25;

  /** Shares of the earlier stages; the last row is the step itself. */
  static final double[][] STAGES = {
    {},
    {1 / 2.0},
    {17 / 50.0, -1 / 25.0},
    {371 / 1360.0, -137 / 2720.0, 15 / 544.0},
    {25 / 24.0, -49 / 48.0, 125 / 16.0, -85 / 12.0}
  };

  /** The step of third order. */
  static final double[] COMPANION = {59 / 48.0, -17 / 96.0, 225 / 32.0, -85 / 12.0, 0};

  private static final double TOLERANCE = 1e-6;
  private static final double FIRST_STEP_SECONDS = 1e-5;
  private static final double LEAST_STEP_SECONDS = 1e-13;
  private static final double CAUTION = 0.8;
  private static final double LEAST_FACTOR = 0.2;
  private static final double MOST_FACTOR = 6;
  private static final double REACHED = 1e-9;
  private static final int MOST_TRIES = 100;

  private final Core core;
  private final Map<String, Integer> nodes;
  private final Loops loops;
  private final TransientEquations equations;
  private Operating at;
  private Drive drive = new Drive(OptionalDouble.of(0));
  private double seconds;
  private double mostAmps;
  private double stepSeconds = FIRST_STEP_SECONDS;
  private Optional<double[]> potentials = Optional.empty();

  /** A network without current, its core as it was left. */
  Transient(Core core, Map<String, Integer> nodes, Loops loops) {
    this.core = core;
    this.nodes = nodes;
    this.loops = loops;
    this.equations = new TransientEquations(core, loops);
    this.at = new Operating(new double[loops.size()], core.withoutCurrent(core.residual()), 0);
  }

  @Override
  public boolean closed() {
    return loops.sourceLoop().isPresent();
  }

  @Override
  public double seconds() {
    return seconds;
  }

  @Override
  public double amps() {
    return amps(at);
  }

  private double amps(Operating operating) {
    return closed() ? operating.amps(loops.sourceLoop().getAsInt()) : 0;
  }

  @Override
  public Optional<Double> volts(String from, String to) {
    Integer one = nodes.get(from);
    Integer other = nodes.get(to);
    if (one == null || other == null || !loops.joined(one, other)) {
      return Optional.empty();
    }
    double[] now = potentials.orElseGet(this::potentialsNow);
    potentials = Optional.of(now);
    return Optional.of(now[one] - now[other]);
  }

  private double[] potentialsNow() {
    double[] drops = equations.induced(at, drive);
    double[] amps = loops.branchAmps(at.allAmps());
    for (int branch = 0; branch < drops.length; branch++) {
      drops[branch] += loops.branches().get(branch).ohms() * amps[branch];
    }
    drops[drops.length - 1] -= drive.volts().orElse(0);
    return loops.potentials(drops);
  }

  @Override
  public void holdVolts(double volts, double untilSeconds, double untilAmps) {
    drive(new Drive(OptionalDouble.of(volts)));
    run(untilSeconds, untilAmps);
  }

  @Override
  public void holdAmps(double untilSeconds) {
    drive(new Drive(OptionalDouble.empty()));
    run(untilSeconds, Double.NaN);
  }

  @Override
  public void leave() {
    core.leave(core.withoutCurrent(at.limbs()));
  }

  private void drive(Drive next) {
    if (!next.equals(drive)) {
      stepSeconds = Math.min(stepSeconds, FIRST_STEP_SECONDS);
    }
    drive = next;
    potentials = Optional.empty();
  }

  private void run(double until, double untilAmps) {
    if (reached(untilAmps)) {
      return;
    }
    boolean below = amps() < untilAmps;
    while (seconds < until) {
      double left = until - seconds;
      double length = Math.min(stepSeconds, left);
      Optional<Step> tried = step(length);
      double error = tried.map(Step::error).orElse(Double.POSITIVE_INFINITY);
      double factor = CAUTION * StrictMath.pow(TOLERANCE / error, 0.25);
      double next = length * Math.max(LEAST_FACTOR, Math.min(MOST_FACTOR, factor));
      if (error > TOLERANCE) {
        shorten(next);
        continue;
      }
      Operating end = tried.orElseThrow().end();
      if (!Double.isNaN(untilAmps) && amps(end) < untilAmps != below) {
        stopAt(untilAmps, length);
        return;
      }
      at = end;
      mostAmps = Math.max(mostAmps, Math.abs(amps()));
      seconds = length == left ? until : seconds + length;
      stepSeconds = length == left ? Math.max(stepSeconds, next) : next;
    }
  }

  private void shorten(double length) {
    if (length < LEAST_STEP_SECONDS) {
      throw new IllegalStateException("no further than " + seconds + " s in time");
    }
    stepSeconds = length;
  }

  private boolean reached(double untilAmps) {
    double most = Math.max(mostAmps, Math.abs(untilAmps));
    return Math.abs(amps() - untilAmps) <= REACHED * most;
  }

  /** Goes on by the part of a step after which the current is the given one. */
  private void stopAt(double untilAmps, double length) {
    double most = Math.max(mostAmps, Math.abs(untilAmps));
    double part =
        new IllinoisSolver(LEAST_STEP_SECONDS, LEAST_STEP_SECONDS, REACHED / 2 * most)
            .solve(MOST_TRIES, share -> amps(after(share)) - untilAmps, 0, length);
    at = after(part);
    mostAmps = most;
    seconds += part;
    stepSeconds = FIRST_STEP_SECONDS;
  }

  private Operating after(double length) {
    return length == 0 ? at : step(length).orElseThrow().end();
  }

  /**
   * Where a step leads.
   *
   * @param end the place after it
   * @param error how far the step of third order would end from there, see {@link
   *     TransientEquations#weigh}
   */
  private record Step(Operating end, double error) {}

  /** Nothing if the equations are not solved, as the step is too long. */
  private Optional<Step> step(double length) {
    double[] start = equations.linkages(at);
    double[] errors = new double[start.length];
    double[][] driving = new double[STAGES.length][];
    Operating found = at;
    for (int stage = 0; stage < STAGES.length; stage++) {
      double[] target = start.clone();
      for (int earlier = 0; earlier < stage; earlier++) {
        add(target, length * STAGES[stage][earlier], driving[earlier]);
      }
      Optional<Operating> next = equations.find(at, found, target, GAMMA * length, drive);
      if (next.isEmpty()) {
        return Optional.empty();
      }
      found = next.get();
      driving[stage] = equations.driving(found, drive);
      double share = stage == STAGES.length - 1 ? GAMMA : STAGES[STAGES.length - 1][stage];
      add(errors, length * (share - COMPANION[stage]), driving[stage]);
    }
    double error = equations.weigh(at, found, errors, GAMMA * length, drive);
    return error < Double.MAX_VALUE ? Optional.of(new Step(found, error)) : Optional.empty();
  }

  private static void add(double[] sum, double factor, double[] summand) {
    for (int k = 0; k < sum.length; k++) {
      sum[k] += factor * summand[k];
    }
  }
}
