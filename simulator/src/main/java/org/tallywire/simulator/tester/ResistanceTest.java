package org.tallywire.simulator.tester;

import java.util.ArrayList;
import java.util.List;
import org.tallywire.simulator.physics.DirectCurrent;
import org.tallywire.simulator.physics.Network;
import org.tallywire.simulator.unit.Hookup;

/**
 * The winding-resistance test of one pair of terminals with direct current, four-wire, as an
 * instrument without errors would see it. The source gives its greatest voltage until its current
 * is reached and holds it then; the reading is taken when voltage by current has settled (no
 * standard says by a number when that is). Afterwards the source takes the current down to zero
 * against the winding's own voltage, and the core keeps what magnetism is left.
 *
 * @param ohms between the clips
 * @param testAmps through the clips
 * @param seconds from switching on until the reading was taken
 * @param dischargeSeconds from then until the leads may be taken off
 * @param end how it ended
 * @param course what was seen at each interval
 */
record ResistanceTest(
    double ohms,
    double testAmps,
    double seconds,
    double dischargeSeconds,
    End end,
    List<Sample> course) {

  static final double LONGEST_SECONDS = 60;

  private static final double INTERVAL_SECONDS = 0.5;

  /** A tenth of the last of five digits. */
  private static final double SETTLED_SHARE = 1e-6;

  /**
   * Where less than this part of the set current flows in the end, it is open (practice). A winding
   * of a small unit that lets the source give only a tenth is no open one.
   */
  private static final double LEAST_SHARE = 0.001;

  /** A source that finds no path at all gives up after this time (practice). */
  private static final double NO_PATH_SECONDS = 2;

  private static final double LONGEST_DISCHARGE_SECONDS = 30;

  /** Without current, until what still flows round inside a closed winding has died (practice). */
  private static final double REST_SECONDS = 3;

  private static final String PLUS = "source +";
  private static final String MINUS = "source -";

  ResistanceTest {
    course = List.copyOf(course);
  }

  /** How a test ended. */
  enum End {
    SETTLED,
    /** Time ran out; the reading is the last one. */
    NOT_SETTLED,
    /** There was no path, or too little current. */
    OPEN
  }

  /**
   * What the instrument sees at a moment.
   *
   * @param volts between the clips
   */
  record Sample(double seconds, double volts, double amps) {
    double ohms() {
      return volts / amps;
    }
  }

  /**
   * The source of current.
   *
   * @param amps that it is set to
   * @param volts the most that it gives, leads included
   * @param longestSeconds after which the test ends without a steady reading
   */
  record Source(double amps, double volts, double longestSeconds) {}

  /**
   * Tests a unit and leaves its core as the direct current does.
   *
   * @param network between the terminals of the unit; the test set is added to it
   */
  static ResistanceTest of(Network network, Hookup.Pair pair, Leads leads, Source source) {
    leads.join(network, PLUS, pair.from());
    leads.join(network, MINUS, pair.to());
    DirectCurrent current = network.directCurrent(PLUS, MINUS);
    if (!current.closed()) {
      return new ResistanceTest(
          Double.POSITIVE_INFINITY, 0, NO_PATH_SECONDS, 0, End.OPEN, List.of());
    }
    List<Sample> course = new ArrayList<>();
    Settling settling = new Settling(SETTLED_SHARE);
    boolean reached = false;
    while (!settling.settled() && current.seconds() < source.longestSeconds()) {
      double next = (course.size() + 1) * INTERVAL_SECONDS;
      if (!reached) {
        current.holdVolts(source.volts(), next, source.amps());
        reached = current.seconds() < next;
      }
      if (reached) {
        current.holdAmps(next);
      }
      double volts = current.volts(leads.at(pair.from()), leads.at(pair.to())).orElse(0.0);
      Sample sample = new Sample(next, volts, current.amps());
      course.add(sample);
      settling.add(sample.ohms());
    }
    Sample last = course.get(course.size() - 1);
    discharge(current, source);
    return new ResistanceTest(
        last.ohms(),
        last.amps(),
        last.seconds(),
        current.seconds() - last.seconds(),
        end(settling, last.amps(), source),
        course);
  }

  private static End end(Settling settling, double amps, Source source) {
    if (!settling.settled()) {
      return End.NOT_SETTLED;
    }
    return amps < LEAST_SHARE * source.amps() ? End.OPEN : End.SETTLED;
  }

  /** Takes the current down to zero, then leaves the circuit open until all has died away. */
  private static void discharge(DirectCurrent current, Source source) {
    current.holdVolts(-source.volts(), current.seconds() + LONGEST_DISCHARGE_SECONDS, 0);
    current.holdAmps(current.seconds() + REST_SECONDS);
    current.leave();
  }
}
