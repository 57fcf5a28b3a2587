package org.tallywire.web;

import java.io.BufferedOutputStream;
import java.io.IOException;
import java.io.OutputStream;
import java.nio.charset.StandardCharsets;
import java.time.Duration;
import java.util.List;
import org.tallywire.api.TimeSource;
import org.tallywire.journal.Journal;
import org.tallywire.journal.JournalEntry;
import org.tallywire.journal.JournalException;

/**
 * One client's server-sent events: the states, the journal from the client's position on, then what
 * is new. Runs in the thread of its request; a client that takes nothing blocks only that.
 *
 * <p>Source of the format: WHATWG HTML, "Server-sent events", parsing an event stream.
 */
final class EventStream {

  /** A page that hears nothing for 4.5 s says so; two signs of life fit into that. */
  static final Duration KEEP_ALIVE = Duration.ofSeconds(2);

  private static final int BATCH = 200;

  private final Journal journal;
  private final Audience audience;
  private final Mailbox mailbox;
  private final TimeSource time;
  private final OutputStream out;
  private long position;
  private long lastWrite;
  private boolean open = true;

  EventStream(
      Journal journal,
      Audience audience,
      Mailbox mailbox,
      TimeSource time,
      OutputStream out,
      long after) {
    this.journal = journal;
    this.audience = audience;
    this.mailbox = mailbox;
    this.time = time;
    this.out = new BufferedOutputStream(out, 16_384);
    this.position = after;
  }

  /** Writes until the client goes away, which is an IOException, or the mailbox is closed. */
  void run() throws IOException, InterruptedException, JournalException {
    catchUp();
    if (open) {
      String at = "{\"position\":" + position + ",\"at\":\"" + time.now() + "\"}";
      write("", "caughtup", at.getBytes(StandardCharsets.UTF_8));
    }
    while (open) {
      out.flush();
      if (!post(untilKeepAlive()).live()) {
        catchUp();
      }
      if (untilKeepAlive().isZero()) {
        comment();
      }
    }
  }

  private void catchUp() throws IOException, InterruptedException, JournalException {
    do {
      post(Duration.ZERO);
      for (JournalEntry entry : journal.read(position, BATCH)) {
        write(entry);
      }
      out.flush();
    } while (open && !audience.join(mailbox, position));
  }

  private Mailbox.Post post(Duration wait) throws IOException, InterruptedException {
    Mailbox.Post post = mailbox.take(wait);
    open = !post.closed();
    for (byte[] state : post.states()) {
      write("", "state", state);
    }
    for (JournalEntry entry : post.entries()) {
      write(entry);
    }
    return post;
  }

  private void write(JournalEntry entry) throws IOException {
    // What was offered while this client still read the journal itself would come twice.
    if (entry.position() > position) {
      write("id: " + entry.position() + "\n", "entry", entry.payload());
      position = entry.position();
    }
  }

  private void write(String id, String event, byte[] payload) throws IOException {
    out.write((id + "event: " + event + "\n").getBytes(StandardCharsets.UTF_8));
    String text = new String(payload, StandardCharsets.UTF_8);
    for (String line : lines(text)) {
      out.write(("data: " + line + "\n").getBytes(StandardCharsets.UTF_8));
    }
    out.write('\n');
    lastWrite = time.nanos();
  }

  // A record is one line; should one not be, its line ends must not end the event.
  private static List<String> lines(String text) {
    return List.of(text.split("\r\n|\r|\n", -1));
  }

  private void comment() throws IOException {
    out.write((": " + time.now() + "\n\n").getBytes(StandardCharsets.UTF_8));
    lastWrite = time.nanos();
  }

  private Duration untilKeepAlive() {
    Duration left = KEEP_ALIVE.minusNanos(time.nanos() - lastWrite);
    return left.isNegative() ? Duration.ZERO : left;
  }
}
