package org.tallywire.format;

import static org.junit.jupiter.api.Assertions.assertEquals;
import static org.junit.jupiter.api.Assertions.assertTrue;

import java.io.ByteArrayOutputStream;
import java.io.StringReader;
import java.nio.charset.StandardCharsets;
import java.util.List;
import java.util.Optional;
import org.apache.commons.csv.CSVFormat;
import org.apache.commons.csv.CSVRecord;
import org.junit.jupiter.api.DisplayName;
import org.junit.jupiter.api.Test;
import org.tallywire.acceptance.Verdict;
import org.tallywire.api.Booking;
import org.tallywire.api.RecordedReading;
import org.tallywire.testset.TestSet;

/** What stands in the row of a reading. */
class ReadingTableTest {

  private final RecordedReading first = Samples.reading("46.9000");
  private final RecordedReading again =
      new RecordedReading(
          "Invented.bench~20tester.007:b1:2:0",
          "bay-1",
          "line 1.0",
          Samples.reading("46.2270").reading());
  private final RecordedReading unbooked =
      new RecordedReading("x:b1:3:0", "bay-1", "line 1.0", again.reading());

  @Test
  @DisplayName("A row a value, with the verdict on that reading; superseded and unbooked ones too")
  void rows() throws Exception {
    TestSet testSet = Samples.testSet();
    JudgedReadings judged = new JudgedReadings(Optional.empty());
    judged.take(AnyRecord.of(RecordFormat.write(Samples.opened())));
    Verdict old = book(testSet, judged, first);
    Verdict now = book(testSet, judged, again);
    List<CSVRecord> rows = csv(judged, first, again, unbooked);
    assertEquals(6, rows.size(), "two values each");
    CSVRecord superseded = rows.get(0);
    assertEquals("no", superseded.get("counts"));
    assertEquals("46.9000", superseded.get("value"), "every digit");
    assertEquals("fail", superseded.get("verdict"));
    assertEquals(old.sentence(), superseded.get("sentence"));
    CSVRecord row = rows.get(2);
    assertEquals("set-1", row.get("test set"));
    assertEquals("HL-0231", row.get("asset"));
    assertEquals("turns-ratio/HV-LV/A/1", row.get("step"));
    assertEquals("yes", row.get("counts"));
    assertEquals(again.id(), row.get("reading"));
    assertEquals("007", row.get("instrument"));
    assertEquals("46.2270", row.get("value"));
    assertEquals("1", row.get("unit"));
    assertEquals("2026-01-15T08:00:00.250Z", row.get("taken"));
    assertEquals("ratio-deviation", row.get("criterion"));
    assertEquals(now.expected().orElseThrow().toPlainString(), row.get("expected"));
    assertEquals(now.deviation().orElseThrow().toPlainString(), row.get("deviation"));
    assertEquals(now.limit().toPlainString(), row.get("limit"));
    assertEquals(now.state().word(), row.get("verdict"));
    assertEquals("!reading …", row.get("raw"));
    CSVRecord missing = rows.get(3);
    assertEquals("over-range", missing.get("value"));
    assertEquals("", missing.get("verdict"), "nobody judges this value");
    assertTrue(missing.get("further").contains("ratio-deviation: "), missing.get("further"));
    assertEquals("", rows.get(4).get("test set"));
    assertEquals("", rows.get(4).get("verdict"));
  }

  @Test
  @DisplayName("The last booking of a reading wins: to another test set, or to no step")
  void bookedElsewhere() throws Exception {
    JudgedReadings judged = new JudgedReadings(Optional.of("set-1"));
    judged.take(AnyRecord.of(RecordFormat.write(booking("b1", "set-1", "s/HV/A"), "bay-1")));
    assertEquals("set-1", judged.testSet(first.id()));
    judged.take(AnyRecord.of(RecordFormat.write(booking("b2", "set-2", "s/HV/A"), "bay-1")));
    assertEquals("set-2", judged.testSet(first.id()));
    assertTrue(judged.everBooked(first.id()));
    judged.take(AnyRecord.of(RecordFormat.write(booking("b3", "set-2", ""), "bay-1")));
    assertEquals("", judged.testSet(first.id()));
  }

  private Booking booking(String id, String testSet, String step) {
    return new Booking(id, first.id(), testSet, step, "somebody", Samples.NOW);
  }

  private static Verdict book(TestSet testSet, JudgedReadings judged, RecordedReading reading)
      throws FormatException {
    Booking booking = Samples.booking(testSet, reading);
    judged.take(AnyRecord.of(RecordFormat.write(booking, "bay-1")));
    List<Verdict> verdicts = testSet.booked(reading, booking);
    for (Verdict verdict : verdicts) {
      judged.take(AnyRecord.of(RecordFormat.write(verdict)));
    }
    return verdicts.stream()
        .filter(v -> v.criterion().equals("ratio-deviation"))
        .findFirst()
        .orElseThrow();
  }

  private static List<CSVRecord> csv(JudgedReadings judged, RecordedReading... readings)
      throws Exception {
    ByteArrayOutputStream out = new ByteArrayOutputStream();
    try (CsvTable table = new CsvTable(out, ',', ReadingTable.COLUMNS)) {
      ReadingTable rows = new ReadingTable(table, judged);
      for (RecordedReading reading : readings) {
        rows.add(reading);
      }
    }
    CSVFormat format = CSVFormat.RFC4180.builder().setHeader().setSkipHeaderRecord(true).get();
    return format.parse(new StringReader(out.toString(StandardCharsets.UTF_8))).getRecords();
  }
}
