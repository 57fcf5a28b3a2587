package org.tallywire.simulator.scenario;

import static org.tallywire.simulator.scenario.Scenario.spread;

import java.time.Duration;
import java.util.List;
import java.util.Map;
import java.util.Optional;
import java.util.OptionalDouble;
import java.util.Random;
import java.util.stream.Stream;
import org.tallywire.simulator.physics.Material;
import org.tallywire.simulator.scenario.TesterFault.Quantity;
import org.tallywire.simulator.scenario.UnitFault.Addition;

/**
 * Draws the place and the size of a fault by the seed of a scenario, from the random numbers of the
 * purpose {@code fault}.
 *
 * <p>Sizes are those that a tester would call clear, not absurd (practice): a bad joint of 6 to 15
 * % in an LV phase; 20 to 28 shorted turns of an HV phase, as one to three leave the ratio what it
 * was to first order; a worn contact of 5 to 30 %; one tap position; 0.6 to 1.05 T left in a limb;
 * a winding 15 to 40 K hotter than the oil; a plate 3 to 5 % off; a tester five to fifteen times
 * its usual limit of error off; one to three lines in ten hit by noise or sent twice; a store of 5
 * to 10 readings; a clock 5 minutes to 2 hours wrong.
 */
public final class DrawnFault {

  /** What stands for no fault at all. */
  public static final String NONE = "none";

  /** The steel keeps a little more without a current, {@link FaultEntry#MOST_RESIDUAL_TESLA}. */
  private static final double MOST_RESIDUAL_TESLA = 1.05;

  private static final int LEAST_SHORTED = 20;
  private static final int SHORTED_CHOICES = 9;

  private final Scenario scenario;
  private final Plate plate;
  private final Random random;
  private final Phase phase;

  private DrawnFault(Scenario scenario) {
    this.scenario = scenario;
    this.plate = scenario.plate();
    this.random = scenario.random("fault");
    int drawn = random.nextInt(Phase.values().length);
    this.phase = plate.group().singlePhase() ? Phase.A : Phase.ofLimb(drawn);
  }

  /** Returns the words of all faults that can be drawn, with dashes for spaces, and none. */
  public static List<String> words() {
    return Stream.concat(Stream.of(NONE), FaultForm.BY_WORD.keySet().stream().map(Fault::dashed))
        .toList();
  }

  /**
   * Draws a fault.
   *
   * @param word one of {@link #words}
   * @return nothing for none
   * @throws ScenarioException if the word is unknown or the unit cannot have such a fault
   */
  public static Optional<Fault> draw(String word, Scenario scenario) throws ScenarioException {
    if (word.equals(NONE)) {
      return Optional.empty();
    }
    if (!words().contains(word)) {
      throw new ScenarioException(
          List.of(
              "%s is no fault;%s the faults are %s"
                  .formatted(
                      Written.quoted(word),
                      Wording.suggestion(word, words()),
                      String.join(", ", words()))));
    }
    return Optional.of(new DrawnFault(scenario).draw(word));
  }

  private Fault draw(String word) throws ScenarioException {
    return switch (word) {
      case "drift", "out-of-calibration", "noisy", "frozen-display" -> ofTester(word);
      case "swapped-leads", "missing-neutral" -> ofLeads(word);
      case "shorted-turns",
          "open-winding",
          "bad-joint",
          "reversed-winding",
          "residual-magnetism",
          "hot-winding" ->
          ofWinding(word);
      case "worn-contact", "wrong-tap" -> ofTaps(word);
      case "wrong-conductor", "wrong-plate" -> ofPlate(word);
      default -> ofLine(word);
    };
  }

  private UnitFault ofWinding(String word) {
    return switch (word) {
      case "bad-joint" -> new UnitFault.BadJoint(Winding.LV, phase, part(0.06, 0.15));
      case "shorted-turns" -> new UnitFault.ShortedTurns(Winding.HV, phase, shortedTurns());
      case "open-winding" -> new UnitFault.OpenWinding(winding(), phase);
      case "reversed-winding" -> new UnitFault.ReversedWinding(winding(), phase);
      case "residual-magnetism" ->
          new UnitFault.ResidualMagnetism(phase, signed(0.6, MOST_RESIDUAL_TESLA));
      case "hot-winding" -> new UnitFault.HotWinding(between(15, 40));
      default -> throw unlisted(word);
    };
  }

  private int shortedTurns() {
    int turns = LEAST_SHORTED + random.nextInt(SHORTED_CHOICES);
    return Math.min(turns, FaultEntry.mostShorted(plate, Winding.HV));
  }

  private UnitFault ofTaps(String word) throws ScenarioException {
    int positions = plate.taps().positions();
    if (positions == 1) {
      throw impossible("the transformer has no taps");
    }
    if (word.equals("worn-contact")) {
      return new UnitFault.WornContact(phase, plate.taps().principal(), part(0.05, 0.3), 0.5);
    }
    return new UnitFault.WrongTap(
        plate.group().singlePhase() ? Optional.empty() : Optional.of(phase),
        random.nextBoolean() ? 1 : -1);
  }

  private UnitFault ofPlate(String word) {
    if (word.equals("wrong-conductor")) {
      Winding winding = winding();
      boolean copper = plate.conductor(winding) == Material.COPPER;
      return new UnitFault.WrongConductor(winding, copper ? Material.ALUMINIUM : Material.COPPER);
    }
    double volts = Math.rint(plate.lvVolts() * (1 - between(0.03, 0.05)));
    double least = PlateEntry.LOW_VOLTAGE.from().doubleValue();
    double built = volts < least ? Math.rint(plate.lvVolts() * 1.04) : volts;
    return new UnitFault.WrongPlate(
        OptionalDouble.empty(), OptionalDouble.of(built), Optional.empty());
  }

  private LeadFault ofLeads(String word) throws ScenarioException {
    Group group = plate.group();
    if (word.equals("swapped-leads")) {
      if (group.singlePhase()) {
        throw impossible("a single-phase unit has no leads to swap");
      }
      Winding winding = winding();
      List<Phase> others = Stream.of(Phase.values()).filter(other -> other != phase).toList();
      return new LeadFault.SwappedLeads(winding, others.get(0), others.get(1));
    }
    if (!group.lvNeutral() && !group.hvNeutral()) {
      throw impossible("no neutral is brought out with group " + group);
    }
    return new LeadFault.MissingNeutral(group.lvNeutral() ? Winding.LV : Winding.HV);
  }

  private TesterFault ofTester(String word) {
    TesterPlan tester = scenario.tester();
    Map<Quantity, Double> limits =
        Map.of(
            Quantity.RATIO, tester.ratioPercent(), Quantity.RESISTANCE, tester.resistancePercent());
    Quantity quantity = random.nextBoolean() ? Quantity.RATIO : Quantity.RESISTANCE;
    double limit = Math.max(0.01, limits.getOrDefault(quantity, 0.1));
    return switch (word) {
      case "drift" -> new TesterFault.Drift(quantity, limit * signed(5, 15));
      case "out-of-calibration" ->
          new TesterFault.OutOfCalibration(quantity, limit * signed(5, 10));
      case "noisy" -> new TesterFault.Noisy(between(5, 20));
      case "frozen-display" -> new TesterFault.FrozenDisplay();
      default -> throw unlisted(word);
    };
  }

  private LineFault ofLine(String word) {
    return switch (word) {
      case "line-noise" -> new LineFault.LineNoise(between(0.1, 0.3));
      case "bit-errors" -> new LineFault.BitErrors(between(0.0001, 0.001));
      case "lost-bytes" -> new LineFault.LostBytes(between(0.001, 0.005));
      case "duplicates" -> new LineFault.Duplicates(between(0.1, 0.3));
      case "freeze" -> new LineFault.Freeze();
      case "unplug" -> new LineFault.Unplug();
      case "reboot" -> new LineFault.Reboot(Duration.ofSeconds(3 + random.nextInt(6)));
      case "store-overflow" -> new LineFault.StoreOverflow(5 + random.nextInt(6));
      case "wrong-clock" -> new LineFault.WrongClock(clock());
      default -> throw unlisted(word);
    };
  }

  private Duration clock() {
    return Duration.ofSeconds(Math.round(signed(300, 7200)));
  }

  private Winding winding() {
    return random.nextBoolean() ? Winding.HV : Winding.LV;
  }

  private Addition part(double least, double most) {
    return new Addition(between(least, most), true);
  }

  private double between(double least, double most) {
    return least + (most - least) * random.nextDouble();
  }

  private double signed(double least, double most) {
    double size = between(least, most);
    return spread(random, 1) < 0 ? -size : size;
  }

  private static IllegalStateException unlisted(String word) {
    return new IllegalStateException(word + " is listed and cannot be drawn");
  }

  private static ScenarioException impossible(String why) {
    return new ScenarioException(List.of(why));
  }
}
