package org.tallywire.publish;

import static org.junit.jupiter.api.Assertions.assertArrayEquals;
import static org.junit.jupiter.api.Assertions.assertEquals;
import static org.junit.jupiter.api.Assertions.assertTrue;

import java.nio.charset.StandardCharsets;
import java.util.ArrayList;
import java.util.Arrays;
import java.util.HexFormat;
import java.util.List;
import java.util.TreeMap;
import java.util.regex.Matcher;
import java.util.regex.Pattern;
import org.tallywire.journal.JournalEntry;

/** Holds what a broker received against what the journal holds, as a consumer would. */
final class Ledger {

  static final String TALLY_TOPIC = "shop/invented~20site/bridge/tally";

  private static final Pattern TALLY =
      Pattern.compile(
          "\\{\"record\":\"tally\",\"journal\":\"([0-9a-f]{12})\",\"from\":(\\d+),\"to\":(\\d+),"
              + "\"ids\":\\[(.*)],\"shelved\":\\[(.*)],\"digest\":\"([0-9a-f]{64})\"}");

  /** A tally as a consumer reads it. */
  record Tally(long from, long to, List<String> ids, List<Long> shelved, String digest) {}

  private Ledger() {}

  static Tally tally(byte[] payload) {
    String text = new String(payload, StandardCharsets.UTF_8);
    Matcher matcher = TALLY.matcher(text);
    assertTrue(matcher.matches(), text);
    String ids = matcher.group(4).replace("\"", "");
    String shelved = matcher.group(5);
    return new Tally(
        Long.parseLong(matcher.group(2)),
        Long.parseLong(matcher.group(3)),
        List.of(ids.split(",")),
        shelved.isEmpty()
            ? List.of()
            : Arrays.stream(shelved.split(",")).map(Long::valueOf).toList(),
        matcher.group(6));
  }

  static List<Tally> tallies(FakeBroker broker) {
    return broker.messages().stream()
        .filter(message -> message.topic().equals(TALLY_TOPIC))
        .map(message -> tally(message.payload()))
        .toList();
  }

  /** Payloads of records in the order in which they first came. */
  static List<String> records(FakeBroker broker) {
    return broker.messages().stream()
        .filter(message -> !message.topic().startsWith("shop/invented~20site/bridge/"))
        .filter(message -> !message.topic().endsWith("/state"))
        .peek(message -> assertEquals(false, message.retained()))
        .map(message -> new String(message.payload(), StandardCharsets.UTF_8))
        .distinct()
        .toList();
  }

  /**
   * Requires that every entry but the shelved ones was received, in order of first arrival and byte
   * for byte, and that tallies cover all of them with the right ids, shelf and digest.
   */
  static void requireWhole(FakeBroker broker, List<JournalEntry> entries, List<Long> shelved) {
    List<String> expected = new ArrayList<>();
    for (JournalEntry entry : entries) {
      if (!shelved.contains(entry.position())) {
        expected.add(new String(entry.payload(), StandardCharsets.UTF_8));
      }
    }
    List<String> received = new ArrayList<>(records(broker));
    received.retainAll(expected); // a shelved one may have been tried
    assertEquals(expected, received);
    requireCovered(tallies(broker), entries, shelved);
  }

  static void requireCovered(List<Tally> tallies, List<JournalEntry> entries, List<Long> shelved) {
    TreeMap<Long, JournalEntry> byPosition = new TreeMap<>();
    entries.forEach(entry -> byPosition.put(entry.position(), entry));
    long covered = byPosition.firstKey() - 1;
    for (Tally tally : tallies) {
      assertTrue(tally.from() <= covered + 1, "a hole in front of " + tally);
      List<JournalEntry> told =
          List.copyOf(byPosition.subMap(tally.from(), tally.to() + 1).values());
      assertEquals(told.stream().map(JournalEntry::id).toList(), tally.ids());
      assertArrayEquals(
          told.get(told.size() - 1).digest(), HexFormat.of().parseHex(tally.digest()));
      for (long position : tally.shelved()) {
        assertTrue(shelved.contains(position), "not on the shelf: " + position);
      }
      covered = Math.max(covered, tally.to());
    }
    assertEquals(byPosition.lastKey(), covered);
    for (long position : shelved) {
      assertTrue(
          tallies.stream().anyMatch(tally -> tally.shelved().contains(position)),
          "no tally says that " + position + " is shelved");
    }
  }
}
