package org.tallywire.web;

import static org.junit.jupiter.api.Assertions.assertEquals;
import static org.junit.jupiter.api.Assertions.assertFalse;
import static org.junit.jupiter.api.Assertions.assertTrue;

import java.nio.charset.StandardCharsets;
import java.time.Duration;
import java.time.Instant;
import java.util.List;
import java.util.stream.LongStream;
import org.junit.jupiter.api.Test;
import org.tallywire.api.TimeSource;
import org.tallywire.journal.JournalEntry;

/** The bound of what waits for a client, and the hand-over from journal to live. */
final class MailboxTest {

  private final Mailbox mailbox = new Mailbox(TimeSource.system());

  @Test
  void whatDoesNotFitMakesItNotLiveAndIsLeftToTheJournal() throws Exception {
    mailbox.goLive();
    offer(1, Mailbox.CAPACITY);
    Mailbox.Post full = mailbox.take(Duration.ZERO);
    assertEquals(Mailbox.CAPACITY, full.entries().size());
    assertTrue(full.live());
    offer(1, Mailbox.CAPACITY + 1);
    offer(Mailbox.CAPACITY + 2, Mailbox.CAPACITY + 9);
    Mailbox.Post over = mailbox.take(Duration.ofSeconds(5));
    assertEquals(List.of(), over.entries());
    assertFalse(over.live());
  }

  @Test
  void ofManyStatesOnlyTheLatestOfEachStationWaits() throws Exception {
    for (int n = 0; n < 1000; n++) {
      mailbox.offerState("bay-" + n % 2, new byte[] {(byte) n});
    }
    List<byte[]> states = mailbox.take(Duration.ZERO).states();
    assertEquals(2, states.size());
    assertEquals((byte) 998, states.get(0)[0]);
    assertEquals((byte) 999, states.get(1)[0]);
  }

  @Test
  void aClientJoinsOnlyWhenItHasAllThatWasHandedOut() throws Exception {
    Audience audience = new Audience(TimeSource.system());
    Mailbox late = audience.admit().orElseThrow();
    audience.startAt(4);
    audience.deliver(entry(5));
    assertFalse(audience.join(late, 4));
    assertEquals(List.of(), late.take(Duration.ZERO).entries());
    assertTrue(audience.join(late, 5));
    audience.deliver(entry(6));
    assertEquals(6, late.take(Duration.ZERO).entries().get(0).position());
  }

  private void offer(long from, long to) {
    LongStream.rangeClosed(from, to).forEach(n -> mailbox.offer(entry(n)));
  }

  private static JournalEntry entry(long position) {
    byte[] payload = "{}".getBytes(StandardCharsets.UTF_8);
    return new JournalEntry(
        position, "id-" + position, "note", "bay-2", payload, new byte[32], Instant.EPOCH);
  }
}
