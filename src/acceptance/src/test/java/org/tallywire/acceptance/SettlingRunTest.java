package org.tallywire.acceptance;

import static org.junit.jupiter.api.Assertions.assertEquals;
import static org.junit.jupiter.api.Assertions.assertTrue;
import static org.tallywire.acceptance.ResistanceStream.STEP;
import static org.tallywire.acceptance.ResistanceStream.fallen;

import java.util.List;
import java.util.Map;
import java.util.function.Consumer;
import org.junit.jupiter.api.Test;
import org.junit.jupiter.params.ParameterizedTest;
import org.junit.jupiter.params.provider.CsvSource;
import org.junit.jupiter.params.provider.ValueSource;
import org.tallywire.acceptance.Verdict.State;
import org.tallywire.api.ClockQuality;
import org.tallywire.api.Instrument;
import org.tallywire.api.Reading;
import org.tallywire.api.Reading.Status;
import org.tallywire.api.RecordedReading;

/** Which readings are of one measurement, and how far apart they were taken. */
class SettlingRunTest {

  // the clock of the instrument counts where it has one: here the lines arrive all at once
  @ParameterizedTest
  @CsvSource({
    "NONE,UNDECIDED",
    "RELATIVE,FAIL",
    "FREE,FAIL",
    "SYNCHRONISED,FAIL",
  })
  void timeIsTheInstrumentsOwnWhereItGivesOne(ClockQuality clock, State state) {
    ResistanceStream stream = new ResistanceStream();
    stream.clock = clock;
    stream.arrivalPerSecond = 0;
    Verdict v = stream.falling(0.25, 0.05, 4, 0, 3, 7).settling();
    assertEquals(state, v.state(), v.sentence());
    if (state == State.FAIL) {
      assertTrue(v.sentence().contains("in 18 s"), v.sentence());
    }
  }

  @Test
  void aClockThatWentBackIsNotUsed() {
    ResistanceStream stream = new ResistanceStream();
    stream.clock = ClockQuality.FREE;
    stream.falling(0.25, 0.05, 4, 0, 3, 6);
    ResistanceStream back = new ResistanceStream();
    back.clock = ClockQuality.FREE;
    for (int i = 0; i < 6; i++) {
      BookedReading b = stream.readings.get(i);
      Reading r = b.reading();
      Reading changed =
          new Reading(
              r.instrument(),
              r.sequence(),
              r.part(),
              r.labels(),
              r.values(),
              r.status(),
              i < 3 ? r.takenAt().map(t -> t.plusSeconds(3600)) : r.takenAt(),
              r.clock(),
              r.receivedAt(),
              r.raw());
      back.readings.add(
          new BookedReading(
              new RecordedReading(b.id(), "bay-2", "line 1.0", changed), b.bookingId(), STEP));
    }
    assertEquals(stream.settling().deviation(), back.settling().deviation());
  }

  @ParameterizedTest
  @ValueSource(strings = {"-9999999999999999999999999", "12:30", "1e3", "", "1234567890123456789"})
  void anUptimeThatIsNoneIsNotUsed(String uptime) {
    ResistanceStream stream = new ResistanceStream();
    stream.clock = ClockQuality.RELATIVE;
    stream.falling(0.25, 0.05, 4, 0, 3, 7);
    ResistanceStream odd = new ResistanceStream();
    odd.clock = ClockQuality.RELATIVE;
    for (BookedReading b : stream.readings) {
      Reading r = b.reading();
      Reading changed =
          new Reading(
              r.instrument(),
              r.sequence(),
              r.part(),
              Map.of("uptime", uptime),
              r.values(),
              r.status(),
              r.takenAt(),
              r.clock(),
              r.receivedAt(),
              r.raw());
      odd.readings.add(
          new BookedReading(
              new RecordedReading(b.id(), "bay-2", "line 1.0", changed), b.bookingId(), STEP));
    }
    assertEquals(stream.settling().deviation(), odd.settling().deviation());
  }

  /** Six readings, a change, then four more: one too few if the change begins a new measurement. */
  private static int counted(Consumer<ResistanceStream> change, double gap) {
    ResistanceStream stream = new ResistanceStream();
    stream.amperes = "5.00";
    stream.labels.put("tap", "1");
    stream.falling(0.25, 0.05, 4, 0, 3, 6);
    change.accept(stream);
    stream.falling(0.25, 0.05, 4, 15 + gap, 3, 4);
    return stream.settling().readings().size();
  }

  @Test
  void aChangeBeginsANewMeasurement() {
    assertEquals(10, counted(s -> {}, 3));
    assertEquals(10, counted(s -> {}, 120));
    assertEquals(4, counted(s -> {}, 120.001));
    assertEquals(10, counted(s -> s.amperes = "5.50", 3));
    assertEquals(4, counted(s -> s.amperes = "5.51", 3));
    assertEquals(10, counted(s -> s.amperes = "4.50", 3));
    assertEquals(4, counted(s -> s.amperes = "4.49", 3));
    assertEquals(10, counted(s -> s.amperes = "", 3));
    assertEquals(4, counted(s -> s.labels.put("tap", "2"), 3));
    assertEquals(4, counted(s -> s.labels.put("on-load-tap", "2"), 3));
    assertEquals(4, counted(s -> s.instrument = new Instrument("", "", "7", ""), 3));
    assertEquals(4, counted(s -> s.station = "bay-3", 3));
  }

  @ParameterizedTest
  @CsvSource({"0.3,10", "0.30001,4", "0.2,10", "0.19999,4"})
  void aJumpBeginsANewMeasurement(String ohms, int counted) {
    ResistanceStream stream = new ResistanceStream();
    for (int i = 0; i < 6; i++) {
      stream.at(3 * i, "0.25");
    }
    for (int i = 6; i < 10; i++) {
      stream.at(3 * i, ohms);
    }
    assertEquals(counted, stream.settling().readings().size());
  }

  // what the instrument had called settled is over when it says not settled again
  @Test
  void settledAndThenNotSettledIsANewMeasurement() {
    ResistanceStream stream = new ResistanceStream().falling(0.25, 0.05, 4, 0, 3, 5);
    stream.status = Status.OK;
    stream.at(15, fallen(0.25, 0.05, 4, 15));
    assertEquals(6, stream.settling().readings().size());
    stream.status = Status.NOT_SETTLED;
    stream.falling(0.25, 0.05, 4, 18, 3, 2);
    assertEquals(2, stream.settling().readings().size());
  }

  @ParameterizedTest
  @ValueSource(strings = {"SUSPECT", "ABORTED"})
  void aReadingThatIsNoneBreaksTheStream(Status status) {
    ResistanceStream stream = new ResistanceStream().falling(0.25, 0.05, 4, 0, 3, 5);
    stream.status = status;
    stream.at(15, "0.251");
    Verdict itself = stream.settling();
    assertEquals(State.UNDECIDED, itself.state());
    assertTrue(itself.sentence().contains("calls its reading " + status.word()));
    stream.status = Status.NOT_SETTLED;
    stream.falling(0.25, 0.05, 4, 18, 3, 4);
    assertEquals(4, stream.settling().readings().size());
  }

  // a number of 2 000 000 000 digits must not be written out, and 64 are enough for any
  @ParameterizedTest
  @CsvSource({
    "1e64,true",
    "1e65,false",
    "1e-64,true",
    "1e-65,false",
    "1e2000000000,false",
    "1e-2000000000,false",
    "0,false",
    "-1,false"
  })
  void aNumberTooLongIsNone(String ohms, boolean taken) {
    ResistanceStream stream = new ResistanceStream().at(0, ohms);
    assertEquals(taken, SettlingRun.ohms(stream.readings.get(0)).isPresent());
  }

  @ParameterizedTest
  @CsvSource({"64,true", "65,false"})
  void aNumberOfTooManyDigitsIsNone(int digits, boolean taken) {
    ResistanceStream stream = new ResistanceStream().at(0, "0." + "1".repeat(digits));
    assertEquals(taken, SettlingRun.ohms(stream.readings.get(0)).isPresent());
    ResistanceStream whole = new ResistanceStream().at(0, "1".repeat(digits - 1) + ".1");
    assertEquals(taken, SettlingRun.ohms(whole.readings.get(0)).isPresent());
  }

  @Test
  void theSecondsAreThoseSinceTheFirst() {
    ResistanceStream stream = new ResistanceStream().falling(0.25, 0.05, 4, 1.5, 3.25, 4);
    SettlingRun run = SettlingRun.upTo(stream.readings.get(3), Samples.evidence(stream.readings));
    assertEquals(stream.readings, run.readings());
    assertEquals(
        List.of("0", "3.250", "6.500", "9.750"),
        run.stream().stream().map(t -> t.seconds().toPlainString()).toList());
    // up to an earlier one, what came later is not in it
    assertEquals(
        2,
        SettlingRun.upTo(stream.readings.get(1), Samples.evidence(stream.readings))
            .readings()
            .size());
  }
}
