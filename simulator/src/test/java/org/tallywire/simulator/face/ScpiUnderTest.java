package org.tallywire.simulator.face;

import java.nio.charset.StandardCharsets;
import java.time.Duration;
import java.time.Instant;
import java.util.ArrayList;
import java.util.List;
import java.util.Map;
import java.util.Optional;
import java.util.OptionalInt;
import java.util.TreeMap;
import org.tallywire.simulator.face.InstrumentFace.Outgoing;
import org.tallywire.simulator.tester.Measurement;
import org.tallywire.simulator.tester.Measurement.Channel;
import org.tallywire.simulator.tester.Measurement.Status;

/** A SCPI meter with a clock that a test moves, and the controller's side of the talk. */
final class ScpiUnderTest {

  static final String NONE = "+9.91E+37";
  static final String NO_ERROR = "0,\"No error\"";

  final List<String> remarks = new ArrayList<>();
  final ScpiFace face = new ScpiFace("SIM-0007", "0.1", remarks::add);
  private long now;

  ScpiUnderTest() {
    face.powerUp(now);
  }

  void say(String message) {
    sayBytes(message + "\n");
  }

  void sayBytes(String text) {
    byte[] bytes = text.getBytes(StandardCharsets.ISO_8859_1);
    face.received(bytes, bytes.length, now);
  }

  void pass(Duration time) {
    now += time.toNanos();
  }

  long untilNext() {
    return face.untilNext(now);
  }

  Optional<Outgoing> next() {
    return face.next(now);
  }

  /** Returns what the meter says now, each answer without its LF. */
  List<String> heard() {
    List<String> answers = new ArrayList<>();
    for (Optional<Outgoing> o = next(); o.isPresent(); o = next()) {
      String text = o.get().text();
      if (!text.endsWith("\n")) {
        throw new AssertionError("no LF behind " + text);
      }
      answers.add(text.substring(0, text.length() - 1));
    }
    return answers;
  }

  /** Says a message and returns its one answer. */
  String ask(String message) {
    say(message);
    List<String> answers = heard();
    if (answers.size() != 1) {
      throw new AssertionError(message + " was answered " + answers);
    }
    return answers.get(0);
  }

  /** Says a message that must have no answer and returns the number of the error it made. */
  int error(String message) {
    ask("SYST:ERR:ALL?");
    say(message);
    if (!heard().isEmpty()) {
      throw new AssertionError(message + " was answered");
    }
    return nextError();
  }

  /** Returns the number of the oldest error, 0 if none. */
  int nextError() {
    return Integer.parseInt(ask("SYST:ERR?").split(",", 2)[0]);
  }

  void measure(Measurement measurement) {
    face.measured(measurement, Instant.EPOCH.plusNanos(now), now);
  }

  /** As section 2 of shared/protocol.md has it. */
  static Measurement ratio(String ratio, String milliamperes) {
    return Measurement.ratio(
        "A",
        3,
        Map.of(
            Channel.RATIO,
            ratio,
            Channel.EXCITATION_CURRENT,
            milliamperes,
            Channel.PHASE_DISPLACEMENT,
            "-0.02",
            Channel.TEST_VOLTAGE,
            "40.02"));
  }

  static Measurement resistance(Channel unit, String value, Status status) {
    Map<Channel, String> values =
        Map.of(unit, value, Channel.TEST_CURRENT, "5.000", Channel.TEMPERATURE, "21.5");
    return new Measurement(
        "winding-resistance", "LV", "b", OptionalInt.empty(), new TreeMap<>(values), status, 9);
  }
}
