package org.tallywire.format;

import static org.junit.jupiter.api.Assertions.assertArrayEquals;
import static org.junit.jupiter.api.Assertions.assertEquals;
import static org.junit.jupiter.api.Assertions.assertFalse;
import static org.junit.jupiter.api.Assertions.assertThrows;
import static org.junit.jupiter.api.Assertions.assertTrue;

import java.math.BigDecimal;
import java.math.BigInteger;
import java.nio.charset.StandardCharsets;
import java.util.List;
import java.util.Map;
import java.util.Optional;
import java.util.Random;
import org.junit.jupiter.api.DisplayName;
import org.junit.jupiter.api.Test;
import org.junit.jupiter.params.ParameterizedTest;
import org.junit.jupiter.params.provider.EnumSource;
import org.tallywire.acceptance.CoreForm;
import org.tallywire.acceptance.Nameplate;
import org.tallywire.acceptance.TapChanger.Kind;
import org.tallywire.acceptance.Verdict;
import org.tallywire.api.Booking;
import org.tallywire.api.ClockQuality;
import org.tallywire.api.Gap;
import org.tallywire.api.Quantity;
import org.tallywire.api.Reading;
import org.tallywire.api.RecordedReading;
import org.tallywire.api.SequenceNumber;
import org.tallywire.testset.ChecklistAnswer;
import org.tallywire.testset.InstrumentEvent;
import org.tallywire.testset.Note;
import org.tallywire.testset.TestSet;
import org.tallywire.testset.TestSetEvent;

class RecordFormatTest {

  @Test
  @DisplayName("Every kind of record is valid by its schema and comes back as it was")
  void roundTrip() throws Exception {
    Schemas schemas = new Schemas();
    RecordedReading reading = Samples.reading("46.2010");
    byte[] json = RecordFormat.write(reading);
    assertEquals(List.of(), schemas.problems("reading", json));
    assertEquals(reading, RecordFormat.reading(json));

    TestSet testSet = Samples.testSet();
    json = RecordFormat.write(testSet.opened());
    assertEquals(List.of(), schemas.problems("test-set", json));
    assertEquals(testSet.opened().nameplate(), opened(json).nameplate());
    assertEquals(testSet.opened().criteria(), opened(json).criteria());
    assertArrayEquals(json, RecordFormat.write(opened(json)));

    json = RecordFormat.write(Samples.booking(testSet, reading), "bay-1");
    assertEquals(List.of(), schemas.problems("booking", json));
    assertEquals(Samples.booking(testSet, reading), RecordFormat.booking(json));

    List<Verdict> verdicts = testSet.booked(reading, Samples.booking(testSet, reading));
    assertFalse(verdicts.isEmpty());
    for (Verdict verdict : verdicts) {
      json = RecordFormat.write(verdict);
      assertEquals(List.of(), schemas.problems("verdict", json));
      assertEquals(verdict, RecordFormat.verdict(json));
    }

    json = RecordFormat.write(testSet.close(Samples.NOW));
    assertEquals(List.of(), schemas.problems("test-set", json));
    assertEquals(testSet.close(Samples.NOW), RecordFormat.testSetEvent(json));
  }

  @Test
  @DisplayName("What people write in a day is valid by its schemas and comes back as it was")
  void aDay() throws Exception {
    Schemas schemas = new Schemas();
    TestSetEvent.Opened opened = DaySamples.openedByAPerson();
    List<TestSetEvent> events =
        List.of(
            opened,
            new TestSetEvent.Paused("t", Samples.NOW, "T-1", "bay-1", "Ada Sample", "lunch"),
            new TestSetEvent.Resumed("t", Samples.NOW, "T-1", "bay-1", "Ada Sample", ""),
            new TestSetEvent.Skipped(
                "t", Samples.NOW, "T-1", "bay-1", "s/1", "Ada Sample", "no tap"),
            new TestSetEvent.Repeat("t", Samples.NOW, "T-1", "bay-1", "s/1", "Ada Sample", "loose"),
            new TestSetEvent.Closed(
                "t",
                Samples.NOW,
                "T-1",
                "bay-1",
                Map.of("pass", 3),
                List.of("s/1"),
                "Ada",
                "late"));
    for (TestSetEvent event : events) {
      byte[] json = RecordFormat.write(event);
      assertEquals(List.of(), schemas.problems("test-set", json), event::toString);
      assertEquals(event, RecordFormat.testSetEvent(json));
      assertEquals(event, AnyRecord.of(json).testSetEvent());
    }
    Booking moved =
        new Booking("b", "r", "t", Booking.NO_STEP, "Ada", Samples.NOW, Optional.of("wrong leads"));
    byte[] json = RecordFormat.write(moved, "bay-1");
    assertEquals(List.of(), schemas.problems("booking", json));
    assertEquals(moved, RecordFormat.booking(json));

    Note note = DaySamples.note();
    json = RecordFormat.write(note);
    assertEquals(List.of(), schemas.problems("note", json));
    assertEquals(note, RecordFormat.note(json));
    assertEquals(note, AnyRecord.of(json).note());

    ChecklistAnswer answer = DaySamples.answer();
    json = RecordFormat.write(answer);
    assertEquals(List.of(), schemas.problems("checklist", json));
    assertEquals(answer, RecordFormat.checklistAnswer(json));
    assertEquals(answer, AnyRecord.of(json).checklistAnswer());

    for (InstrumentEvent event : List.of(DaySamples.verified(), DaySamples.calibrated())) {
      json = RecordFormat.write(event);
      assertEquals(List.of(), schemas.problems("verification", json));
      assertEquals(event, RecordFormat.instrumentEvent(json));
      assertEquals(event, AnyRecord.of(json).instrumentEvent());
    }
  }

  @Test
  @DisplayName("Two tap changers and every test come back as they were, and are valid")
  void twoTapChangers() throws Exception {
    TestSetEvent.Opened opened = Samples.openedWithTwoTapChangers();
    byte[] json = RecordFormat.write(opened);
    assertEquals(List.of(), new Schemas().problems("test-set", json));
    assertEquals(opened, RecordFormat.testSetEvent(json));
    assertTrue(new String(json, StandardCharsets.UTF_8).contains("\"onLoadTap\":17"));
  }

  @Test
  @DisplayName("A plate of before there were two tap changers is read")
  void oldPlate() throws Exception {
    String json =
        new String(RecordFormat.write(Samples.testSet().opened()), StandardCharsets.UTF_8);
    String old =
        json.replaceFirst(
                "\"tapChangers\":\\[\\{\"side\":\"HV\",\"kind\":\"[a-z-]+\",\"principal\":2,(.*?\\])\\}\\]",
                "\"principalTap\":2,$1")
            .replaceFirst(",\"core\":\"five-limb\",\"earlierRatios\":\\{.*?\\}", "");
    for (String added : List.of("tapChangers", "core", "earlierRatios")) {
      assertFalse(old.contains("\"" + added + "\":"), old);
    }
    Nameplate plate = opened(old.getBytes(StandardCharsets.UTF_8)).nameplate();
    assertEquals(Kind.DE_ENERGISED, plate.tapChangers().get(0).kind());
    assertEquals(
        Samples.testSet().opened().nameplate().tapChangers().get(0).taps(),
        plate.tapChangers().get(0).taps());
    assertEquals(CoreForm.THREE_LIMB, plate.core());
    assertEquals(Map.of(), plate.earlierRatios());
  }

  @Test
  @DisplayName("Gaps and states are valid by their schemas")
  void written() throws Exception {
    Schemas schemas = new Schemas();
    Gap gap =
        new Gap(
            Samples.TESTER,
            new SequenceNumber("b1", 2),
            3,
            Gap.Reason.SKIPPED,
            "readings 2 to 3 are missing",
            "!reading …",
            Samples.NOW);
    byte[] json = RecordFormat.write(gap, "s:b1:2-3:gap", "bay-1");
    assertEquals(List.of(), schemas.problems("gap", json));
    assertEquals(gap, RecordFormat.gap(json));
    for (StateRecord.Word word : StateRecord.Word.values()) {
      StateRecord state =
          new StateRecord(
              "bay-1",
              word,
              Samples.NOW,
              Samples.NOW,
              1,
              "as it is",
              Optional.of(Samples.TESTER),
              StateRecord.Counts.NONE,
              Optional.empty());
      assertEquals(List.of(), schemas.problems("state", RecordFormat.write(state)));
    }
  }

  @Test
  @DisplayName("The bridge's state is valid and says each concern; a sentence of any length fits")
  void bridgeState() throws Exception {
    String endless = "é".repeat(5_000);
    StateRecord state =
        new StateRecord(
            StateRecord.BRIDGE,
            StateRecord.Word.RUNNING,
            Samples.NOW,
            Samples.NOW,
            1,
            endless,
            Optional.empty(),
            StateRecord.Counts.NONE,
            Optional.of(
                new StateRecord.Whole(
                    Optional.of("refused"),
                    StateRecord.Storage.FULL,
                    Optional.of(
                        new StateRecord.Standing(
                            164, 160, Map.of("reports", 0L, "archive", 9L), 2)),
                    List.of(
                        new StateRecord.Notice(StateRecord.Concern.STORAGE, endless),
                        new StateRecord.Notice(StateRecord.Concern.BROKER, "refused")))));
    byte[] json = RecordFormat.write(state);
    assertEquals(List.of(), new Schemas().problems("state", json));
    String text = new String(json, StandardCharsets.UTF_8);
    assertTrue(
        text.contains(
            "\"broker\":\"refused\",\"storage\":\"full\",\"journalled\":164,\"accepted\":160,"
                + "\"confirmed\":{\"archive\":9,\"reports\":0},\"shelved\":2,\"notices\":[{"),
        text);
    String foreign = text.replace("\"storage\":\"full\"", "\"storage\":\"fine\"");
    assertFalse(
        new Schemas().problems("state", foreign.getBytes(StandardCharsets.UTF_8)).isEmpty());
  }

  @Test
  @DisplayName("A tally is valid by its schema and says from, to, ids, shelf and digest")
  void tally() throws Exception {
    byte[] digest = new byte[32];
    digest[0] = (byte) 0xA0;
    byte[] json =
        RecordFormat.tally(
            "0123456789ab", 65, List.of("a:1", "a:2", "a:3"), List.of(66L), digest, Samples.NOW);
    assertEquals(List.of(), new Schemas().problems("tally", json));
    String text = new String(json, StandardCharsets.UTF_8);
    assertTrue(
        text.contains(
            "\"from\":65,\"to\":67,\"ids\":[\"a:1\",\"a:2\",\"a:3\"],\"shelved\":[66],\"digest\":\"a0"
                + "0".repeat(62)),
        text);
    assertEquals("tally", AnyRecord.of(json).kind());
    assertFalse(
        new Schemas()
            .problems("tally", text.replace("a0000", "A0000").getBytes(StandardCharsets.UTF_8))
            .isEmpty());
  }

  @Test
  @DisplayName("A confirmation names a journal and a position, by its schema")
  void confirmation() throws Exception {
    Schemas schemas = new Schemas();
    String good = "{\"journal\":\"0123456789ab\",\"position\":164}";
    assertEquals(List.of(), schemas.problems("confirm", good.getBytes(StandardCharsets.UTF_8)));
    for (String bad :
        List.of(
            good.replace("164", "-1"),
            good.replace("164", "1.5"),
            good.replace("0123456789ab", "another"),
            "{\"position\":164}")) {
      assertFalse(schemas.problems("confirm", bad.getBytes(StandardCharsets.UTF_8)).isEmpty(), bad);
    }
  }

  @ParameterizedTest
  @EnumSource
  @DisplayName("A reading of any clock is valid by its schema and comes back as it was")
  void anyClock(ClockQuality clock) throws Exception {
    RecordedReading sample = Samples.reading("46.2010");
    Reading timed = sample.reading();
    boolean relative = clock == ClockQuality.RELATIVE;
    RecordedReading reading =
        new RecordedReading(
            sample.id(),
            sample.station(),
            sample.driver(),
            new Reading(
                timed.instrument(),
                timed.sequence(),
                timed.part(),
                relative ? Map.of("tap", "1", "uptime", "86400123") : timed.labels(),
                timed.values(),
                timed.status(),
                relative || clock == ClockQuality.NONE ? Optional.empty() : timed.takenAt(),
                clock,
                timed.receivedAt(),
                timed.raw()));
    byte[] json = RecordFormat.write(reading);
    assertEquals(List.of(), new Schemas().problems("reading", json));
    assertEquals(reading, RecordFormat.reading(json));
  }

  @Test
  @DisplayName("The validator does refuse: a record without its values is not valid")
  void schemaCanFail() throws Exception {
    byte[] json = RecordFormat.write(Samples.reading("46.2010"));
    String without = new String(json, StandardCharsets.UTF_8).replace("\"values\"", "\"valves\"");
    assertFalse(
        new Schemas().problems("reading", without.getBytes(StandardCharsets.UTF_8)).isEmpty());
  }

  @Test
  @DisplayName("10 000 random decimals survive the way to JSON and back, digit for digit")
  void decimals() throws Exception {
    long seed = new Random().nextLong();
    Random random = new Random(seed);
    for (int i = 0; i < 10_000; i++) {
      String text =
          new BigDecimal(new BigInteger(1 + random.nextInt(80), random), random.nextInt(7))
              .toPlainString();
      RecordedReading back = RecordFormat.reading(RecordFormat.write(Samples.reading(text)));
      assertEquals(
          text, back.reading().measured(Quantity.TURNS_RATIO).orElseThrow().text(), "seed " + seed);
    }
  }

  @Test
  @DisplayName("A verdict over the longest decimal an instrument may send can be read back")
  void longFigures() throws Exception {
    TestSet testSet = Samples.testSet();
    for (String ratio :
        List.of("9".repeat(32), "0." + "0".repeat(29) + "1", "1." + "3".repeat(30))) {
      RecordedReading reading = Samples.reading(ratio);
      for (Verdict verdict : testSet.booked(reading, Samples.booking(testSet, reading))) {
        byte[] json = RecordFormat.write(verdict);
        assertEquals(List.of(), new Schemas().problems("verdict", json));
        assertEquals(verdict, RecordFormat.verdict(json));
      }
    }
  }

  @Test
  @DisplayName("A member that is unknown is ignored; one that is missing or wrong is named")
  void otherMembers() throws Exception {
    String json = new String(RecordFormat.write(Samples.reading("1.0")), StandardCharsets.UTF_8);
    assertEquals(
        Samples.reading("1.0"), read(json.replaceFirst("\\{", "{\"moon\":{\"full\":true},")));
    assertTrue(fault(json.replace("\"clock\":\"free\"", "\"clock\":\"sun\"")).contains("clock"));
    assertTrue(fault(json.replace("\"value\":\"1.0\"", "\"value\":\"1e9\"")).contains("value"));
    assertTrue(fault(json.replace("\"raw\":", "\"law\":")).contains("raw"));
    assertTrue(fault("[]").contains("object"));
    assertTrue(fault("{\"id\":1").contains("JSON"));
    assertTrue(fault("{\"id\":\"a\",\"id\":\"b\"}").contains("JSON"));
  }

  private static RecordedReading read(String json) throws FormatException {
    return RecordFormat.reading(json.getBytes(StandardCharsets.UTF_8));
  }

  private static String fault(String json) {
    return assertThrows(FormatException.class, () -> read(json)).getMessage();
  }

  private static TestSetEvent.Opened opened(byte[] json) throws FormatException {
    return (TestSetEvent.Opened) RecordFormat.testSetEvent(json);
  }
}
