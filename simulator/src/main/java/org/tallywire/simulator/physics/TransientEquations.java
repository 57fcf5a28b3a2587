package org.tallywire.simulator.physics;

import java.util.ArrayList;
import java.util.Arrays;
import java.util.List;
import java.util.Optional;
import java.util.OptionalDouble;
import org.tallywire.simulator.physics.LimbPath.Point;
import org.tallywire.simulator.physics.Steel.Magnetisation;

/**
 * Kirchhoff's and Faraday's laws of a network's loops while fluxes change: {@code dΨ/dt = s·u −
 * R·i} with {@code Ψ = L·i + N·φ(i)}, where s is 1 in the source's loop and 0 elsewhere.
 *
 * <p>The flux linkages Ψ are what time changes; currents and fluxes follow from them by the laws of
 * the core, and loops of resistors alone have none. So this is a system of differential and
 * algebraic equations (index 1).
 */
final class TransientEquations {

  private static final int MOST_PASSES = 12;
  private static final int MOST_TURNS = 8;

  /** Newton's method squares the error, so that the next change would be far below the last. */
  private static final double SAME = 1e-5;

  /** Less than this part of where a limb stands is no movement. */
  private static final double STILL = 1e-10;

  /** Of a linkage, as part of it. */
  private static final double ROUNDING = 4e-15;

  private static final double MOMENT_SECONDS = 1e-7;

  private final Core core;
  private final Loops loops;
  private final LoopEquations equations;
  private final int size;
  private final int limbs;
  private final Elimination system;

  /**
   * The largest current up to now, against which others count as small; at least a microampere, as
   * the fluxes of a magnetised core are known no better.
   */
  private double mostAmps = 1e-6;

  TransientEquations(Core core, Loops loops) {
    this.core = core;
    this.loops = loops;
    this.equations = new LoopEquations(loops, core);
    this.size = loops.size();
    this.limbs = core.limbs();
    this.system = new Elimination(size + limbs + (core.yokes() ? 1 : 0));
  }

  /**
   * What the source does.
   *
   * @param volts what it holds; nothing while it holds its current
   */
  record Drive(OptionalDouble volts) {
    boolean holdsAmps() {
      return volts.isEmpty();
    }
  }

  /** Returns the flux linkage of each loop, Wb. */
  double[] linkages(Operating at) {
    return linkages(at, points(at, directions(at, at)));
  }

  private double[] linkages(Operating at, Point[] points) {
    double[] linkages = new double[size];
    for (int loop = 0; loop < size; loop++) {
      for (int other = 0; other < size; other++) {
        linkages[loop] += equations.henries[loop][other] * at.amps(other);
      }
      for (int limb = 0; limb < limbs; limb++) {
        linkages[loop] += equations.turns[loop][limb] * points[limb].flux();
      }
    }
    return linkages;
  }

  private Point[] points(Operating at, int[] directions) {
    Point[] points = new Point[limbs];
    for (int limb = 0; limb < limbs; limb++) {
      points[limb] = core.limb(limb).point(at.limb(limb), directions[limb]);
    }
    return points;
  }

  /** Returns the voltage that drives each loop's linkage; in the source's loop without a source. */
  double[] driving(Operating at, Drive drive) {
    double[] volts = new double[size];
    for (int loop = 0; loop < size; loop++) {
      for (int other = 0; other < size; other++) {
        volts[loop] -= equations.ohms[loop][other] * at.amps(other);
      }
    }
    loops.sourceLoop().ifPresent(loop -> volts[loop] += drive.volts().orElse(0));
    return volts;
  }

  /**
   * Finds where {@code Ψ − seconds·(driving voltage)} has the given values, by Newton's method.
   *
   * @param from where the limbs move from
   * @param guess near the place sought
   * @param target by loop; without meaning for the source's loop while its current is held
   * @return nothing if it is not found, as the step was too long
   */
  Optional<Operating> find(
      Operating from, Operating guess, double[] target, double seconds, Drive drive) {
    Operating at = guess;
    int[] directions = directions(from, at);
    for (int pass = 0; pass < MOST_PASSES; pass++) {
      Point[] points = points(at, directions);
      fill(points, seconds, drive);
      double[] linkages = linkages(at, points);
      double[] driving = driving(at, drive);
      for (int loop = 0; loop < size; loop++) {
        if (!held(loop, drive)) {
          system.addRight(loop, target[loop] + seconds * driving[loop] - linkages[loop]);
        }
      }
      double[] forces = missing(at, points);
      for (int row = 0; row < forces.length; row++) {
        system.addRight(size + row, forces[row]);
      }
      double[] change = system.solve();
      toPlaces(change, points);
      boolean turned = turn(from, at, change, directions);
      at = moved(from, at, change);
      double way = measure(change, at);
      if (!(way < Double.MAX_VALUE)) {
        return Optional.empty();
      }
      if (way < SAME && !turned) {
        return Optional.of(at);
      }
    }
    return Optional.empty();
  }

  private int[] directions(Operating from, Operating at) {
    int[] directions = new int[limbs];
    for (int limb = 0; limb < limbs; limb++) {
      directions[limb] = at.limb(limb).place() < from.limb(limb).place() ? -1 : 1;
    }
    return directions;
  }

  /**
   * Keeps each limb from crossing the place where it comes from: there the slope changes at once,
   * so that it stops and goes on with the other slope. Returns whether one has to.
   */
  private boolean turn(Operating from, Operating at, double[] change, int[] directions) {
    boolean turned = false;
    for (int limb = 0; limb < limbs; limb++) {
      double back = from.limb(limb).place() - at.limb(limb).place();
      double end = change[size + limb] - back;
      if (end * directions[limb] < 0) {
        change[size + limb] = back;
        directions[limb] = -directions[limb];
        turned |= Math.abs(end) > STILL * (1 + Math.abs(at.limb(limb).place()));
      }
    }
    return turned;
  }

  private boolean held(int loop, Drive drive) {
    return drive.holdsAmps()
        && loops.sourceLoop().isPresent()
        && loops.sourceLoop().getAsInt() == loop;
  }

  /** Fills in how linkages and forces change; unknowns are changes of currents, fluxes, force. */
  private void fill(Point[] points, double seconds, Drive drive) {
    system.clear();
    for (int limb = 0; limb < limbs; limb++) {
      system.add(size + limb, size + limb, -points[limb].slopeReluctance());
      if (core.yokes()) {
        system.add(size + limb, size + limbs, -1);
        system.add(size + limbs, size + limb, 1);
      }
      for (int loop = 0; loop < size; loop++) {
        system.add(size + limb, loop, equations.turns[loop][limb]);
        if (!held(loop, drive)) {
          system.add(loop, size + limb, equations.turns[loop][limb]);
        }
      }
    }
    if (core.yokes()) {
      system.add(size + limbs, size + limbs, -core.airPermeance());
    }
    for (int loop = 0; loop < size; loop++) {
      if (held(loop, drive)) {
        system.add(loop, loop, 1);
        continue;
      }
      for (int other = 0; other < size; other++) {
        double entry = equations.henries[loop][other] + seconds * equations.ohms[loop][other];
        system.add(loop, other, entry);
      }
    }
  }

  /** Returns what the force of each limb and the flux of the yokes miss. */
  private double[] missing(Operating at, Point[] points) {
    double[] missing = new double[limbs + (core.yokes() ? 1 : 0)];
    double flux = -core.airPermeance() * at.yokeAmps();
    for (int limb = 0; limb < limbs; limb++) {
      missing[limb] = points[limb].force() + at.yokeAmps();
      for (int loop = 0; loop < size; loop++) {
        missing[limb] -= equations.turns[loop][limb] * at.amps(loop);
      }
      flux += points[limb].flux();
    }
    if (core.yokes()) {
      missing[limbs] = -flux;
    }
    return missing;
  }

  /** Makes changes of places out of changes of fluxes. */
  private void toPlaces(double[] change, Point[] points) {
    for (int limb = 0; limb < limbs; limb++) {
      change[size + limb] /= points[limb].fluxSlope();
    }
  }

  private Operating moved(Operating from, Operating at, double[] change) {
    double[] amps = at.allAmps();
    for (int loop = 0; loop < size; loop++) {
      amps[loop] += change[loop];
    }
    List<Magnetisation> states = new ArrayList<>(limbs);
    for (int limb = 0; limb < limbs; limb++) {
      double place = at.limb(limb).place() + change[size + limb];
      states.add(core.limb(limb).moved(from.limb(limb), place));
    }
    double yokes = core.yokes() ? at.yokeAmps() + change[size + limbs] : 0;
    return new Operating(amps, states, yokes);
  }

  /**
   * Returns how large a change of currents and places is: of currents against the largest there was
   * up to now, of places against 1 and where they are.
   */
  private double measure(double[] change, Operating at) {
    for (int loop = 0; loop < size; loop++) {
      mostAmps = Math.max(mostAmps, Math.abs(at.amps(loop)));
    }
    double most = 0;
    for (int loop = 0; loop < size; loop++) {
      most = Math.max(most, Math.abs(change[loop]) / mostAmps);
    }
    for (int limb = 0; limb < limbs; limb++) {
      double place = Math.abs(at.limb(limb).place());
      most = Math.max(most, Math.abs(change[size + limb]) / (1 + place));
    }
    return most;
  }

  /**
   * Returns how large an error of linkages is, as currents and places that are left of it after
   * twice that time. What short time constants take away until then does not matter (usual for
   * stiff systems; practice).
   */
  double weigh(Operating from, Operating at, double[] errors, double seconds, Drive drive) {
    Point[] points = points(at, directions(from, at));
    double[] left = aboveRounding(errors, points);
    double[] change = new double[0];
    for (int time = 0; time < 2; time++) {
      change = change(points, left, seconds, drive);
      left = linkageChange(change);
    }
    toPlaces(change, points);
    return measure(change, at);
  }

  /** Errors of the size of the rounding of the linkages say nothing, and no shorter step helps. */
  private double[] aboveRounding(double[] errors, Point[] points) {
    double[] left = errors.clone();
    for (int loop = 0; loop < size; loop++) {
      double most = 0;
      for (int limb = 0; limb < limbs; limb++) {
        most += Math.abs(equations.turns[loop][limb] * points[limb].flux());
      }
      if (Math.abs(left[loop]) <= ROUNDING * most) {
        left[loop] = 0;
      }
    }
    return left;
  }

  /**
   * Returns by how much currents, fluxes and the force between the yokes change if the linkages
   * change by so much, less what resistance takes of it in that time.
   */
  private double[] change(Point[] points, double[] linkages, double seconds, Drive drive) {
    fill(points, seconds, drive);
    for (int loop = 0; loop < size; loop++) {
      if (!held(loop, drive)) {
        system.addRight(loop, linkages[loop]);
      }
    }
    return system.solve();
  }

  private double[] linkageChange(double[] change) {
    double[] linkages = new double[size];
    for (int loop = 0; loop < size; loop++) {
      for (int other = 0; other < size; other++) {
        linkages[loop] += equations.henries[loop][other] * change[other];
      }
      for (int limb = 0; limb < limbs; limb++) {
        linkages[loop] += equations.turns[loop][limb] * change[size + limb];
      }
    }
    return linkages;
  }

  /**
   * Returns the voltages that the changes of now induce along the branches. The rates are those
   * over a short moment, which lets the currents of resistors alone be determined; what the moment
   * leaves over is shared out once more. Which way the limbs move is tried out.
   */
  double[] induced(Operating at, Drive drive) {
    int[] directions = new int[limbs];
    Arrays.fill(directions, 1);
    double[] driving = driving(at, drive);
    Point[] points = points(at, directions);
    double[] rates = change(points, driving, MOMENT_SECONDS, drive);
    for (int turn = 0; turn < MOST_TURNS && turnTo(rates, directions); turn++) {
      points = points(at, directions);
      rates = change(points, driving, MOMENT_SECONDS, drive);
    }
    double[] left = linkageChange(rates);
    for (int loop = 0; loop < size; loop++) {
      left[loop] = driving[loop] - left[loop];
    }
    double[] more = change(points, left, MOMENT_SECONDS, drive);
    for (int k = 0; k < rates.length; k++) {
      rates[k] += more[k];
    }
    double[] fluxes = Arrays.copyOfRange(rates, size, size + limbs);
    return equations.induced(loops.branchAmps(Arrays.copyOf(rates, size)), fluxes);
  }

  /** Returns whether some limb moves in another direction than taken; corrects it. */
  private boolean turnTo(double[] rates, int[] directions) {
    boolean turned = false;
    for (int limb = 0; limb < limbs; limb++) {
      int direction = rates[size + limb] < 0 ? -1 : 1;
      turned |= direction != directions[limb];
      directions[limb] = direction;
    }
    return turned;
  }
}
