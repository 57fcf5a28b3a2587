package org.tallywire.simulator.physics;

import java.util.ArrayList;
import java.util.Arrays;
import java.util.List;
import java.util.OptionalDouble;
import org.tallywire.simulator.physics.LimbPath.Point;
import org.tallywire.simulator.physics.Steel.Magnetisation;

/**
 * Kirchhoff's and Faraday's laws of a network's loops while fluxes change: {@code L·di/dt + N·dφ/dt
 * = s·u − R·i}, where s is 1 in the source's loop and 0 elsewhere, with the laws of the core to a
 * small change. Currents of loops of resistors alone follow from the others at once.
 */
final class TransientEquations {

  private static final int MOST_TURNS = 8;

  private final Core core;
  private final Loops loops;
  private final LoopEquations equations;
  private final int size;
  private final int limbs;
  private final LinearSystem system;

  TransientEquations(Core core, Loops loops) {
    this.core = core;
    this.loops = loops;
    this.equations = new LoopEquations(loops, core);
    this.size = loops.size();
    this.limbs = core.limbs();
    this.system = new LinearSystem(size + limbs + (core.yokes() ? 1 : 0));
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

  private boolean held(int loop, Drive drive) {
    return drive.holdsAmps()
        && loops.sourceLoop().isPresent()
        && loops.sourceLoop().getAsInt() == loop;
  }

  /** Returns the voltage that drives the linkage of a loop; a held source counts as none. */
  private double driving(int loop, Operating at, Drive drive) {
    double volts = loops.sourceLoop().orElse(-1) == loop ? drive.volts().orElse(0) : 0;
    for (int other = 0; other < size; other++) {
      volts -= equations.ohms[loop][other] * at.amps(other);
    }
    return volts;
  }

  /** Returns the same place with the currents that loops of resistors alone have under a drive. */
  Operating settled(Operating at, Drive drive) {
    LinearSystem currents = new LinearSystem(size);
    for (int loop = 0; loop < size; loop++) {
      if (equations.resistive(loop) && !held(loop, drive)) {
        for (int other = 0; other < size; other++) {
          currents.add(loop, other, equations.ohms[loop][other]);
        }
        currents.addRight(loop, driving(loop, at, drive));
      } else {
        currents.add(loop, loop, 1);
      }
    }
    double[] amps = at.allAmps();
    double[] more = currents.solve();
    for (int loop = 0; loop < size; loop++) {
      amps[loop] += more[loop];
    }
    return new Operating(amps, at.limbs());
  }

  /**
   * How fast everything changes.
   *
   * @param rates of the currents of the loops, A/s, then of the fluxes of the limbs, Wb/s
   * @param points where the limbs stand, with their slopes in the direction that they move
   */
  @SuppressWarnings("ArrayRecordComponent") // read at once, never compared
  private record Change(double[] rates, List<Point> points) {}

  /** Which way a limb moves is tried out, as its slope depends on that. */
  private Change change(Operating at, Drive drive) {
    int[] directions = new int[limbs];
    Arrays.fill(directions, 1);
    Change change = change(points(at, directions), at, drive);
    for (int turn = 0; turn < MOST_TURNS && turnTo(change.rates(), directions); turn++) {
      change = change(points(at, directions), at, drive);
    }
    return change;
  }

  /** Returns how fast currents and then places of the limbs change. */
  double[] rates(Operating at, Drive drive) {
    Change change = change(at, drive);
    double[] rates = Arrays.copyOf(change.rates(), size + limbs);
    for (int limb = 0; limb < limbs; limb++) {
      rates[size + limb] /= change.points().get(limb).fluxSlope();
    }
    return rates;
  }

  private List<Point> points(Operating at, int[] directions) {
    List<Point> points = new ArrayList<>(limbs);
    for (int limb = 0; limb < limbs; limb++) {
      points.add(core.limb(limb).point(at.limb(limb), directions[limb]));
    }
    return points;
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

  private Change change(List<Point> points, Operating at, Drive drive) {
    system.clear();
    for (int limb = 0; limb < limbs; limb++) {
      system.add(size + limb, size + limb, -points.get(limb).slopeReluctance());
      if (core.yokes()) {
        system.add(size + limb, size + limbs, -1);
        system.add(size + limbs, size + limb, 1);
      }
      for (int loop = 0; loop < size; loop++) {
        system.add(size + limb, loop, equations.turns[loop][limb]);
      }
    }
    if (core.yokes()) {
      system.add(size + limbs, size + limbs, -core.airPermeance());
    }
    for (int loop = 0; loop < size; loop++) {
      fill(loop, at, drive);
    }
    return new Change(system.solve(), points);
  }

  /** A held current does not change; in a loop of resistors alone nothing induces a voltage. */
  private void fill(int loop, Operating at, Drive drive) {
    if (held(loop, drive)) {
      system.add(loop, loop, 1);
      return;
    }
    boolean resistive = equations.resistive(loop);
    for (int other = 0; other < size; other++) {
      double entry = resistive ? equations.ohms[loop][other] : equations.henries[loop][other];
      system.add(loop, other, entry);
    }
    for (int limb = 0; limb < limbs; limb++) {
      system.add(loop, size + limb, equations.turns[loop][limb]);
    }
    system.addRight(loop, resistive ? 0 : driving(loop, at, drive));
  }

  /** Returns the voltages that the changes of now induce along the branches. */
  double[] induced(Operating at, Drive drive) {
    double[] changes = change(at, drive).rates();
    double[] fluxes = Arrays.copyOfRange(changes, size, size + limbs);
    return equations.induced(loops.branchAmps(Arrays.copyOf(changes, size)), fluxes);
  }

  /** Returns the place of those numbers: currents of the loops, then places of the limbs. */
  Operating place(Operating from, double[] numbers) {
    List<Magnetisation> states = new ArrayList<>(limbs);
    for (int limb = 0; limb < limbs; limb++) {
      states.add(core.limb(limb).moved(from.limb(limb), numbers[size + limb]));
    }
    return new Operating(Arrays.copyOf(numbers, size), states);
  }

  /** Returns the numbers of a place. */
  double[] numbers(Operating at) {
    double[] numbers = Arrays.copyOf(at.allAmps(), size + limbs);
    for (int limb = 0; limb < limbs; limb++) {
      numbers[size + limb] = at.limb(limb).place();
    }
    return numbers;
  }
}
