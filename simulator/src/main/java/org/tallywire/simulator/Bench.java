package org.tallywire.simulator;

import java.time.Duration;
import java.time.InstantSource;
import java.util.ArrayList;
import java.util.HexFormat;
import java.util.List;
import java.util.Locale;
import java.util.OptionalLong;
import java.util.Random;
import java.util.function.Consumer;
import java.util.function.LongSupplier;
import org.tallywire.simulator.face.InstrumentClock;
import org.tallywire.simulator.face.InstrumentFace;
import org.tallywire.simulator.face.LineFace;
import org.tallywire.simulator.face.MeterFace;
import org.tallywire.simulator.face.ScpiFace;
import org.tallywire.simulator.face.Store;
import org.tallywire.simulator.face.TalkOnlyFace;
import org.tallywire.simulator.scenario.DrawnFault;
import org.tallywire.simulator.scenario.FaultText;
import org.tallywire.simulator.scenario.Faults;
import org.tallywire.simulator.scenario.LineFault.LineNoise;
import org.tallywire.simulator.scenario.LineFault.StoreOverflow;
import org.tallywire.simulator.scenario.Planted;
import org.tallywire.simulator.scenario.Scenario;
import org.tallywire.simulator.scenario.ScenarioException;
import org.tallywire.simulator.scenario.ScenarioFile;
import org.tallywire.simulator.scenario.TesterPlan.Language;
import org.tallywire.simulator.tester.TestRun;
import org.tallywire.simulator.wire.TroubledWire;
import org.tallywire.simulator.wire.Wire;

/** One bench: a unit, a test set and what is planted there, put together as the options ask. */
final class Bench {

  private static final String USUAL = "hollow-lane";
  private static final double USUAL_NOISE = 0.1;
  private static final Duration UNPLUGGED = Duration.ofSeconds(2);
  private static final int BOOT_BYTES = 8;
  private static final String FIRMWARE = "0.1";

  private final Options options;
  private final int index;
  private final Scenario scenario;
  private final Faults faults;
  private final BenchTime time;
  private final Consumer<String> remark;

  private Bench(
      Options options,
      int index,
      Scenario scenario,
      LongSupplier nanos,
      InstantSource wall,
      Consumer<String> remark) {
    this.options = options;
    this.index = index;
    this.scenario = scenario;
    this.faults = new Faults(scenario.planted());
    this.time = new BenchTime(options.pace, scenario.startsAt(), faults, nanos, wall);
    this.remark = words -> words.lines().forEach(line -> remark.accept(serial() + ": " + line));
  }

  /**
   * Puts together the bench of that number, from 0.
   *
   * @param nanos the clock that only goes up, of beats and time-outs
   * @param wall the time of day
   * @param remark takes sentences for people
   */
  static Bench of(
      Options options, int index, LongSupplier nanos, InstantSource wall, Consumer<String> remark)
      throws ScenarioException {
    return new Bench(options, index, scenario(options, index), nanos, wall, remark);
  }

  /** Returns what the options ask for at the bench of that number, from 0. */
  static Scenario scenario(Options options, int index) throws ScenarioException {
    String name = options.scenario.orElse(USUAL);
    OptionalLong seed =
        options.seed.isPresent()
            ? OptionalLong.of(options.seed.get() + index)
            : OptionalLong.empty();
    Scenario scenario = ScenarioFile.read(name, seed);
    if (seed.isEmpty() && index > 0) {
      scenario = ScenarioFile.read(name, OptionalLong.of(scenario.seed() + index));
    }
    List<Planted> planted = new ArrayList<>();
    if (options.fault.isPresent()) {
      DrawnFault.draw(options.fault.get(), scenario)
          .map(fault -> Planted.usual(fault, Duration.ZERO))
          .ifPresent(planted::add);
    } else if (options.scenario.isPresent()) {
      planted.addAll(scenario.planted());
    }
    for (String text : options.plant) {
      planted.add(FaultText.read(text, scenario, Duration.ZERO));
    }
    if (options.noise) {
      planted.add(Planted.usual(new LineNoise(USUAL_NOISE), Duration.ZERO));
    }
    Scenario asked = scenario.with(planted);
    Scenario speaking = options.speaks.map(asked::speaking).orElse(asked);
    if (options.taken.isPresent() && speaking.tester().language() != Language.LINE) {
      throw new ScenarioException(
          List.of("--taken: readings have no number but in the line protocol"));
    }
    return speaking;
  }

  /** Returns the serial number of its test set. */
  String serial() {
    return String.format(Locale.ROOT, "SIM-%04d", scenario.seed());
  }

  Scenario scenario() {
    return scenario;
  }

  Faults faults() {
    return faults;
  }

  BenchTime time() {
    return time;
  }

  /** Tells people something about this bench. */
  void remark(String words) {
    remark.accept(words);
  }

  /**
   * Returns its test set at a wire.
   *
   * @param bootIds makes the boot id of the first power-up and of each after a reboot
   * @param witness sees each reading that it takes, if it speaks the line protocol
   */
  Instrument instrument(Wire wire, Random bootIds, LineFace.Witness witness) {
    return new Instrument(
        boots -> face(bootId(boots, bootIds), witness),
        wire,
        new TestRun(scenario, faults),
        faults,
        time,
        new Instrument.Habits(options.startNow, options.unplugAfter, UNPLUGGED),
        remark);
  }

  /**
   * Returns a wire with what is planted on its line.
   *
   * @param ready takes the wire's address each time that it is plugged in again
   */
  Wire troubled(Wire wire, Consumer<String> ready) {
    return new TroubledWire(wire, faults, time::elapsed, scenario.random("line"), ready, remark);
  }

  private InstrumentFace face(String boot, LineFace.Witness witness) {
    return switch (scenario.tester().language()) {
      case LINE ->
          new LineFace(
              serial(),
              boot,
              new Store(this::storeSize),
              Duration.ofMillis(options.beat),
              new InstrumentClock(options.clock, time),
              witness,
              remark);
      case SCPI -> new ScpiFace(serial(), FIRMWARE, remark);
      case TALK_ONLY -> new TalkOnlyFace(serial());
      case METER62056 -> new MeterFace(serial(), MeterFace.Mode.C, scenario.random("meter"));
      case METER62056_A -> new MeterFace(serial(), MeterFace.Mode.A, scenario.random("meter"));
    };
  }

  /** A random id at each power-up, as it must never come again (L-14), or the one asked for. */
  private String bootId(int boots, Random random) {
    if (options.boot.isPresent()) {
      String first = options.boot.get() + options.suffix(index);
      return boots == 0 ? first : first + "-r" + boots;
    }
    byte[] id = new byte[BOOT_BYTES];
    random.nextBytes(id);
    return HexFormat.of().formatHex(id);
  }

  private int storeSize() {
    return faults.at(StoreOverflow.class, time.elapsed()).stream()
        .mapToInt(StoreOverflow::holds)
        .reduce(options.store, Math::min);
  }
}
