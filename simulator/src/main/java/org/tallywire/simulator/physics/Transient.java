package org.tallywire.simulator.physics;

import java.util.Map;
import java.util.Optional;
import java.util.OptionalDouble;
import org.apache.commons.math3.exception.MathIllegalStateException;
import org.apache.commons.math3.ode.FirstOrderDifferentialEquations;
import org.apache.commons.math3.ode.events.EventHandler;
import org.apache.commons.math3.ode.nonstiff.DormandPrince54Integrator;
import org.apache.commons.math3.ode.sampling.StepHandler;
import org.apache.commons.math3.ode.sampling.StepInterpolator;
import org.tallywire.simulator.physics.TransientEquations.Drive;

/**
 * A network while a source of direct current acts on it, step by step in time: the currents of its
 * loops and the places of its limbs go through the library's method of Dormand and Prince.
 */
final class Transient implements DirectCurrent {

  private static final double LEAST_STEP_SECONDS = 1e-12;
  private static final double MOST_STEP_SECONDS = 0.5;
  private static final double RELATIVE = 1e-8;
  private static final double ABSOLUTE = 1e-9;

  private static final double EVENT_CHECK_SECONDS = 0.05;
  private static final double EVENT_SECONDS = 1e-10;
  private static final int EVENT_TRIES = 100;
  private static final double REACHED = 1e-9;

  private final Core core;
  private final Map<String, Integer> nodes;
  private final Loops loops;
  private final TransientEquations equations;
  private Operating at;
  private Drive drive = new Drive(OptionalDouble.of(0));
  private double seconds;
  private double mostAmps;
  private Optional<double[]> potentials = Optional.empty();

  /** A network without current, its core as it was left. */
  Transient(Core core, Map<String, Integer> nodes, Loops loops) {
    this.core = core;
    this.nodes = nodes;
    this.loops = loops;
    this.equations = new TransientEquations(core, loops);
    this.at = new Operating(new double[loops.size()], core.withoutCurrent(core.residual()));
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
    return closed() ? at.amps(loops.sourceLoop().getAsInt()) : 0;
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
    drive = new Drive(OptionalDouble.of(volts));
    run(untilSeconds, untilAmps);
  }

  @Override
  public void holdAmps(double untilSeconds) {
    drive = new Drive(OptionalDouble.empty());
    run(untilSeconds, Double.NaN);
  }

  @Override
  public void leave() {
    core.leave(core.withoutCurrent(at.limbs()));
  }

  private void run(double until, double untilAmps) {
    potentials = Optional.empty();
    at = equations.settled(at, drive);
    if (until <= seconds || reached(untilAmps)) {
      return;
    }
    DormandPrince54Integrator integrator =
        new DormandPrince54Integrator(LEAST_STEP_SECONDS, MOST_STEP_SECONDS, ABSOLUTE, RELATIVE);
    integrator.addStepHandler(new Passing());
    if (!Double.isNaN(untilAmps)) {
      integrator.addEventHandler(
          new Reaching(untilAmps), EVENT_CHECK_SECONDS, EVENT_SECONDS, EVENT_TRIES);
    }
    double[] numbers = equations.numbers(at);
    try {
      seconds = integrator.integrate(new Changing(), seconds, numbers, until, numbers);
    } catch (MathIllegalStateException failed) {
      throw new IllegalStateException("no further than " + seconds + " s in time", failed);
    }
  }

  private boolean reached(double untilAmps) {
    double most = Math.max(mostAmps, Math.abs(untilAmps));
    return Math.abs(amps() - untilAmps) <= REACHED * most;
  }

  private final class Changing implements FirstOrderDifferentialEquations {
    @Override
    public int getDimension() {
      return loops.size() + core.limbs();
    }

    @Override
    public void computeDerivatives(double t, double[] numbers, double[] rates) {
      double[] found = equations.rates(equations.place(at, numbers), drive);
      System.arraycopy(found, 0, rates, 0, rates.length);
    }
  }

  /** Keeps the place that was passed last, from which the limbs move straight on. */
  private final class Passing implements StepHandler {
    @Override
    public void init(double t0, double[] y0, double t) {
      // It is where the last run ended.
    }

    @Override
    public void handleStep(StepInterpolator step, boolean last) {
      step.setInterpolatedTime(step.getCurrentTime());
      at = equations.place(at, step.getInterpolatedState());
      seconds = step.getCurrentTime();
      mostAmps = Math.max(mostAmps, Math.abs(amps()));
    }
  }

  /** Ends the run when the current is the given one. */
  private final class Reaching implements EventHandler {
    private final double amps;

    Reaching(double amps) {
      this.amps = amps;
    }

    @Override
    public void init(double t0, double[] y0, double t) {
      // No state.
    }

    @Override
    public double g(double t, double[] numbers) {
      return (closed() ? numbers[loops.sourceLoop().getAsInt()] : 0) - amps;
    }

    @Override
    public Action eventOccurred(double t, double[] numbers, boolean increasing) {
      return Action.STOP;
    }

    @Override
    public void resetState(double t, double[] numbers) {
      // Never asked for: the event ends the run.
    }
  }
}
