package org.tallywire.publish;

import java.time.Duration;
import java.util.ArrayDeque;
import java.util.Deque;
import java.util.function.BooleanSupplier;
import org.jspecify.annotations.Nullable;
import org.slf4j.Logger;
import org.slf4j.LoggerFactory;
import org.tallywire.api.TimeSource;
import org.tallywire.journal.Journal;
import org.tallywire.journal.JournalEntry;
import org.tallywire.journal.JournalException;

/**
 * The work over one connection: sends entries in order from the cursor on, moves the cursor behind
 * the acknowledgements. Used by the publisher's thread.
 */
final class Delivery {

  static final String FOLLOWER = "publisher";

  /** Larger payloads make brokers end the connection; mosquitto's own limit is 2 000 000 bytes. */
  static final int LARGEST_PAYLOAD = 256 * 1024;

  private static final Logger LOG = LoggerFactory.getLogger(Delivery.class);

  private static final int READ_AHEAD = 64;
  private static final int CURSOR_ENTRIES = 100;
  private static final Duration CURSOR_EVERY = Duration.ofMillis(100);
  private static final Duration SLICE = Duration.ofMillis(100);
  private static final Duration SHORT_SLICE = Duration.ofMillis(5);
  private static final Duration DRAIN = Duration.ofSeconds(2);

  private final Journal journal;
  private final MqttLink link;
  private final Topics topics;
  private final RetainedStates states;
  private final Progress progress;
  private final Pace pace;
  private final TimeSource time;
  private final Window window;
  private final Deque<JournalEntry> ahead = new ArrayDeque<>();
  private final Retry reading;
  private final Retry saving;

  private long read;
  private long saved;
  private long savedAt;
  private @Nullable BrokerException lost;

  Delivery(Publisher.Parts parts, MqttLink link) throws JournalException {
    this.journal = parts.journal();
    this.topics = parts.topics();
    this.states = parts.states();
    this.progress = parts.progress();
    this.pace = parts.pace();
    this.time = parts.time();
    this.link = link;
    saved = journal.cursor(FOLLOWER);
    read = saved;
    window = new Window(saved);
    savedAt = time.nanos();
    reading = new Retry("reading the journal", time);
    saving = new Retry("moving the cursor", time);
    progress.delivered(saved);
  }

  /**
   * Works until told to stop, then waits up to 2 s for what is on its way.
   *
   * @throws BrokerException when the connection is of no more use
   */
  void run(BooleanSupplier stopping) throws BrokerException, InterruptedException {
    try {
      while (!stopping.getAsBoolean()) {
        boolean sent = step(true);
        if (!sent) {
          pause();
        }
      }
      long end = time.nanos() + DRAIN.toNanos();
      boolean sent = step(false);
      while ((sent || !window.isEmpty()) && time.nanos() - end < 0) {
        take(link.next(SHORT_SLICE));
        sent = step(false);
      }
    } finally {
      saveCursor();
    }
  }

  private boolean step(boolean entries) throws BrokerException, InterruptedException {
    for (MqttLink.Event event = link.next(Duration.ZERO);
        event != null;
        event = link.next(Duration.ZERO)) {
      take(event);
    }
    BrokerException gone = lost;
    if (gone != null) {
      throw gone;
    }
    long oldest = window.oldest(time.nanos());
    if (oldest > pace.acknowledgeWait().toNanos()) {
      throw BrokerException.because(
          "no acknowledgement for %d s with %d messages on their way"
              .formatted(Duration.ofNanos(oldest).toSeconds(), window.size()));
    }
    boolean sent = sendStates();
    if (entries) {
      sent |= sendEntries();
      saveCursorIfDue();
    }
    return sent;
  }

  private void take(MqttLink.@Nullable Event event) {
    if (event instanceof MqttLink.Event.Acknowledged acknowledged) {
      if (acknowledged.slot().ofJournal()) {
        progress.acknowledged.incrementAndGet();
      }
      window.done(acknowledged.slot());
    } else if (event instanceof MqttLink.Event.Lost end && lost == null) {
      // acknowledgements behind the first loss are still counted
      lost = end.why();
    }
  }

  private boolean sendStates() throws BrokerException {
    boolean sent = false;
    for (RetainedStates.State state = states.take(); state != null; state = states.take()) {
      if (!send(state.topic, state.payload, true, 0)) {
        states.giveBack(state);
        return sent;
      }
      sent = true;
    }
    return sent;
  }

  /** Sends what the window takes; returns whether anything moved. */
  private boolean sendEntries() throws BrokerException {
    if (ahead.isEmpty() && !readAhead()) {
      return false;
    }
    boolean moved = false;
    for (JournalEntry entry = ahead.peek(); entry != null; entry = ahead.peek()) {
      String topic = topicOf(entry);
      if (topic == null) {
        window.done(window.add(entry.position(), time.nanos()));
      } else if (!send(topic, entry.payload(), false, entry.position())) {
        return moved;
      } else {
        progress.published.incrementAndGet();
      }
      ahead.remove();
      moved = true;
    }
    return moved;
  }

  private boolean send(String topic, byte[] payload, boolean retained, long position)
      throws BrokerException {
    Window.Slot slot = window.add(position, time.nanos());
    if (link.trySend(topic, payload, retained, slot)) {
      return true;
    }
    window.takeBack(slot);
    return false;
  }

  /** Returns the entry's topic, or null, said loudly, if the entry cannot be sent at all. */
  private @Nullable String topicOf(JournalEntry entry) {
    String why;
    if (entry.payload().length > LARGEST_PAYLOAD) {
      why = "its payload has %d bytes".formatted(entry.payload().length);
    } else {
      try {
        return topics.of(entry.station(), entry.kind());
      } catch (IllegalArgumentException e) {
        why = e.getMessage();
      }
    }
    progress.skipped.incrementAndGet();
    LOG.error(
        "journal position {} (id \"{}\") is not published and will not be: {} (largest payload {} bytes). It stays in the journal",
        entry.position(),
        entry.id(),
        why,
        LARGEST_PAYLOAD);
    return null;
  }

  private boolean readAhead() {
    if (!reading.due()) {
      return false;
    }
    try {
      ahead.addAll(journal.read(read, READ_AHEAD));
      reading.worked();
    } catch (JournalException e) {
      reading.failed(e);
    }
    JournalEntry last = ahead.peekLast();
    if (last != null) {
      read = last.position();
    }
    return last != null;
  }

  private void saveCursorIfDue() {
    long ready = window.prefix() - saved;
    long since = time.nanos() - savedAt;
    boolean idle = window.isEmpty() && ahead.isEmpty();
    if (ready >= CURSOR_ENTRIES || (ready > 0 && (idle || since > CURSOR_EVERY.toNanos()))) {
      if (saving.due()) {
        saveCursor();
      }
    }
  }

  private void saveCursor() {
    long position = window.prefix();
    if (position == saved) {
      return;
    }
    try {
      journal.moveCursor(FOLLOWER, position);
      saved = position;
      savedAt = time.nanos();
      saving.worked();
      progress.delivered(position);
    } catch (JournalException e) {
      saving.failed(e);
    }
  }

  /** Waits for an acknowledgement, a new entry or, within a slice, a new state. */
  private void pause() throws InterruptedException {
    if (!ahead.isEmpty()) {
      take(link.next(SLICE)); // the window is full
    } else if (!window.isEmpty() || !reading.due()) {
      take(link.next(SHORT_SLICE));
    } else if (!journal.awaitBeyond(read, SLICE)) {
      take(link.next(SHORT_SLICE));
    }
  }
}
