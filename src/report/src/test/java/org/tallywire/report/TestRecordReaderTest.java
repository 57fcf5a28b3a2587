package org.tallywire.report;

import static org.junit.jupiter.api.Assertions.assertEquals;
import static org.junit.jupiter.api.Assertions.assertFalse;
import static org.junit.jupiter.api.Assertions.assertTrue;

import java.nio.file.Path;
import java.util.List;
import org.junit.jupiter.api.DisplayName;
import org.junit.jupiter.api.Test;
import org.junit.jupiter.api.io.TempDir;
import org.tallywire.acceptance.Verdict;
import org.tallywire.api.RecordedReading;
import org.tallywire.format.RecordFormat;
import org.tallywire.journal.Draft;

/** What a record collects from a real journal (shared/record.md, "What it holds"). */
class TestRecordReaderTest {

  @TempDir private Path folder;

  @Test
  @DisplayName("A whole test set: every step with its reading and verdicts, nothing missing")
  void whole() throws Exception {
    try (Campaign campaign = new Campaign(folder)) {
      TestRecord record = campaign.answered().calibrated().good().closes().record();
      assertEquals(List.of(), record.missing());
      assertEquals(3, record.steps().size());
      assertTrue(record.steps().stream().allMatch(step -> step.taken().isPresent()));
      assertTrue(
          record.verdicts().stream().allMatch(v -> v.state() == Verdict.State.PASS),
          () -> record.verdicts().toString());
      assertEquals(record.verdicts().size(), record.derivedAgain());
      assertEquals(campaign.entries().size(), record.entries().size());
      assertEquals(campaign.journal.head(), record.head().position());
      assertEquals("C-9", record.instruments().get(0).standing().certificate());
      assertEquals(3, record.instruments().get(0).readings());
    }
  }

  @Test
  @DisplayName(
      "A reading that counts no more stays, with the reason: repeat, later, elsewhere, off")
  void superseded() throws Exception {
    try (Campaign campaign = new Campaign(folder)) {
      campaign.answered().reads(Campaign.RATIO, Campaign.ratio("25.4100"));
      campaign.repeats(Campaign.RATIO, "a loose clamp");
      campaign.reads(Campaign.RATIO, Campaign.ratio("25.4101"));
      campaign.reads(Campaign.RATIO, Campaign.ratio("25.4102"));
      RecordedReading moved =
          campaign.arrives("bay-1", Campaign.ohms("0.00238"), Campaign.celsius("20.0"));
      campaign.books(moved, Campaign.HV, "labels", "");
      campaign.books(moved, Campaign.LV, "Bo", "the leads were on LV");
      campaign.books(moved, "", "Bo", "an empty clamp");

      TestRecord record = campaign.record();
      assertEquals(
          List.of(
              "Ada had the step taken again: a loose clamp.",
              "A later reading, S-7:e:3:0, took its place, by labels.",
              "It was booked to winding-resistance/LV/A, by Bo: the leads were on LV.",
              "It was taken off its step, by Bo: an empty clamp."),
          record.superseded().stream().map(TestRecord.Superseded::reason).toList());
      assertEquals("S-7:e:3:0", record.steps().get(0).taken().orElseThrow().recorded().id());
      assertTrue(
          record.verdicts().stream()
              .noneMatch(v -> List.of(Campaign.HV, Campaign.LV).contains(v.subject())),
          "no verdict on a step without a reading counts");
      assertTrue(
          record.derivedAgain() > record.verdicts().size(), "those that count no more agree too");
    }
  }

  @Test
  @DisplayName("A reading that is booked once more to its own step is not superseded by itself")
  void again() throws Exception {
    try (Campaign campaign = new Campaign(folder)) {
      campaign.answered();
      RecordedReading one = campaign.arrives("bay-1", Campaign.ratio("25.4100"));
      campaign.books(one, Campaign.RATIO, "labels", "");
      campaign.books(one, Campaign.RATIO, "Bo", "a temperature was noted");
      TestRecord record = campaign.record();
      assertEquals(List.of(), record.superseded());
      assertEquals("Bo", record.steps().get(0).taken().orElseThrow().booking().by());
    }
  }

  @Test
  @DisplayName("What is not done is said: open, left out, no answers, not closed, unbooked")
  void incomplete() throws Exception {
    try (Campaign campaign = new Campaign(folder)) {
      campaign.skips(Campaign.HV, "no access");
      campaign.arrives("bay-1", Campaign.ratio("25.41"));
      campaign.arrives("bay-2", Campaign.ratio("25.41"));
      TestRecord record = campaign.record();
      String missing = String.join("\n", record.missing());
      assertTrue(missing.contains("not closed"), missing);
      assertTrue(
          missing.contains("Of 3 steps 2 have no reading: turns-ratio HV-LV A tap 1; "), missing);
      assertTrue(missing.contains("left out by Ada: no access."), missing);
      assertTrue(missing.contains("\"before work\" is not answered with yes: dead."), missing);
      assertEquals(List.of("S-7:e:1:0"), record.unbooked(), "of its own station alone");
    }
  }

  @Test
  @DisplayName("A verdict in the records that does not follow from them is told")
  void differing() throws Exception {
    try (Campaign campaign = new Campaign(folder)) {
      campaign.answered().good();
      byte[] recorded =
          campaign.entries().stream()
              .filter(entry -> entry.kind().equals(RecordFormat.VERDICT))
              .findFirst()
              .orElseThrow()
              .payload();
      String other = new String(recorded, java.nio.charset.StandardCharsets.UTF_8);
      String id = RecordFormat.verdict(recorded).id();
      campaign.journal.append(
          List.of(
              new Draft(
                  "verdict:forged",
                  RecordFormat.VERDICT,
                  "bay-1",
                  other
                      .replace(id, "verdict:forged")
                      .getBytes(java.nio.charset.StandardCharsets.UTF_8))),
          List.of());
      TestRecord record = campaign.record();
      assertEquals(
          List.of("verdict:forged is recorded and cannot be derived"), record.differences());
      assertFalse(record.missing().isEmpty());
    }
  }
}
