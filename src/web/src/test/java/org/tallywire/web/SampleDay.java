package org.tallywire.web;

import com.fasterxml.jackson.databind.JsonNode;
import com.fasterxml.jackson.databind.ObjectMapper;
import java.io.IOException;
import java.io.InputStream;
import java.nio.charset.StandardCharsets;
import java.time.Duration;
import java.time.Instant;
import java.util.List;
import java.util.stream.IntStream;
import org.tallywire.api.TimeSource;
import org.tallywire.journal.Draft;
import org.tallywire.journal.Journal;
import org.tallywire.journal.JournalException;

/**
 * The records of one invented test set on an invented transformer, Dyn11 11000/433 V, whose LV
 * phase C has a bad joint. The ratios expected are those of the turns ratio √3·K; nothing else in
 * it is a measurement of anything.
 */
final class SampleDay {

  static final ObjectMapper JSON = new ObjectMapper();

  /** Up to here two steps are still to be measured and LV phase C has failed. */
  static final int WHILE_OPEN = 85;

  static final Instant MORNING = Instant.parse("2026-11-25T09:05:20.000Z");

  private SampleDay() {}

  static List<String> lines() throws IOException {
    try (InputStream in = SampleDay.class.getResourceAsStream("day.jsonl")) {
      return new String(in.readAllBytes(), StandardCharsets.UTF_8).lines().toList();
    }
  }

  static void append(Journal journal, List<String> lines) throws IOException, JournalException {
    for (String line : lines) {
      JsonNode record = JSON.readTree(line);
      append(journal, record.get("id").asText(), record.get("record").asText(), line);
    }
  }

  static void append(Journal journal, String id, String kind, String line) throws JournalException {
    byte[] payload = line.getBytes(StandardCharsets.UTF_8);
    journal.append(List.of(new Draft(id, kind, "bay-2", payload)), List.of());
  }

  /** Appends notes, as many as asked for, with a text of the given length, in one go. */
  static void appendNotes(Journal journal, int from, int count, int length)
      throws JournalException {
    List<Draft> drafts =
        IntStream.range(from, from + count)
            .mapToObj(
                n ->
                    new Draft(
                        "note-" + n,
                        "note",
                        "bay-2",
                        "{\"record\":\"note\",\"id\":\"note-%d\",\"text\":\"%s\"}"
                            .formatted(n, "x".repeat(length))
                            .getBytes(StandardCharsets.UTF_8)))
            .toList();
    journal.append(drafts, List.of());
  }

  static byte[] state(String station, String of, String state, String detail) {
    return JSON.createObjectNode()
        .put("record", "state")
        .put("schema", 1)
        .put("id", station + ":state")
        .put("station", station)
        .put("of", of)
        .put("state", state)
        .put("since", "2026-11-25T08:55:00.000Z")
        .put("at", "2026-11-25T09:05:00.000Z")
        .put("epoch", 1_795_595_700_000L)
        .put("detail", detail)
        .toString()
        .getBytes(StandardCharsets.UTF_8);
  }

  /** A clock that starts at the given time and then runs as the machine's does. */
  static TimeSource clockFrom(Instant start) {
    long began = System.nanoTime();
    return new TimeSource() {
      @Override
      public Instant now() {
        return start.plus(Duration.ofNanos(System.nanoTime() - began));
      }

      @Override
      public long nanos() {
        return System.nanoTime();
      }
    };
  }
}
