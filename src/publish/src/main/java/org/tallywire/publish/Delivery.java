package org.tallywire.publish;

import java.time.Duration;
import java.util.Set;
import java.util.function.BooleanSupplier;
import org.jspecify.annotations.Nullable;
import org.tallywire.api.TimeSource;
import org.tallywire.journal.JournalEntry;
import org.tallywire.journal.JournalException;

/**
 * The work over one connection: sends entries in order from the cursor on, a tally behind each
 * stretch of them, and moves the cursor behind the acknowledgement of the tally. Used by one
 * thread.
 */
final class Delivery {

  /** Larger payloads make brokers end the connection; mosquitto's own limit is 2 000 000 bytes. */
  static final int LARGEST_PAYLOAD = 256 * 1024;

  private static final Duration SLICE = Duration.ofMillis(100);
  private static final Duration SHORT_SLICE = Duration.ofMillis(5);
  private static final Duration DRAIN = Duration.ofSeconds(2);

  /** What every connection works with. */
  record Parts(
      Source source,
      Topics topics,
      RetainedStates states,
      Progress progress,
      Caution caution,
      Attendant attendant,
      TallyFormat format,
      Pace pace,
      TimeSource time) {}

  private final Parts parts;
  private final Source source;
  private final Caution caution;
  private final TimeSource time;
  private final MqttLink link;
  private final Window window;
  private final Stretch stretch = new Stretch();
  private final Following following;
  private final String identity;
  private final String tallyTopic;
  private final String stateTopic;
  private final @Nullable Trial trial;

  /** The states that were due at the beginning and have not gone yet. */
  private final Set<String> owed;

  private long heardAt;
  private long furthest;
  private long told;
  private boolean statesNext = true;
  private boolean tried;
  private @Nullable Outgoing tally;
  private @Nullable BrokerException lost;

  static void requireSmall(String station, byte[] payload) {
    if (payload.length > LARGEST_PAYLOAD) {
      throw new IllegalArgumentException(
          "the state of station \"%s\" has %d bytes, more than %d"
              .formatted(station, payload.length, LARGEST_PAYLOAD));
    }
  }

  /** Begins where the source says, over a connection that is up. */
  Delivery(Parts parts, MqttLink link) throws JournalException {
    this.parts = parts;
    this.source = parts.source();
    this.caution = parts.caution();
    this.time = parts.time();
    this.link = link;
    identity = source.identity();
    following = new Following(source, time);
    furthest = following.saved();
    told = following.saved();
    window = new Window(following.saved());
    heardAt = time.nanos();
    trial = caution.trial(heardAt);
    owed = parts.states().unsent();
    tallyTopic = parts.topics().of(Topics.BRIDGE, "tally");
    stateTopic = parts.topics().of(Topics.BRIDGE, "state");
  }

  /**
   * Works until told to stop, then waits up to 2 s for what is on its way.
   *
   * @throws BrokerException when the connection is of no more use
   */
  void run(BooleanSupplier stopping) throws BrokerException, InterruptedException {
    try {
      parts.attendant().connected(link);
      while (!stopping.getAsBoolean()) {
        boolean sent = step();
        if (!sent) {
          pause();
        }
      }
      drain();
    } catch (BrokerException e) {
      takeAll();
      BrokerException first = lost;
      throw caution.lost(
          first == null ? e : first,
          new Caution.Loss(window, window.prefix(), furthest, trial, time.nanos()));
    } finally {
      following.save(window.prefix());
    }
  }

  /** Returns what of the journal fails at this time; empty if nothing does. */
  String failure() {
    return following.failure();
  }

  private void drain() throws BrokerException, InterruptedException {
    long end = time.nanos() + DRAIN.toNanos();
    do {
      take(link.next(SHORT_SLICE));
      check();
      sendStates();
      if (!stretch.isEmpty()) {
        sendTally();
      }
    } while (!(window.isEmpty() && stretch.isEmpty() && parts.states().allSent())
        && time.nanos() - end < 0);
  }

  private boolean step() throws BrokerException, InterruptedException {
    takeAll();
    check();
    following.saveIfDue(window.prefix(), window.isEmpty());
    parts.attendant().round(link, following.saved(), told);
    if (caution.careful()) {
      return stepCarefully();
    }
    boolean sent = sendStates();
    return sendEntries() || sent;
  }

  /** Sends the next message only when nothing is on its way. */
  private boolean stepCarefully() throws BrokerException {
    if (!window.isEmpty() || parts.attendant().busy(link)) {
      return false;
    }
    long now = time.nanos();
    Trial running = trial;
    if (running != null && !running.over(now)) {
      return running.due(now) && sendProbe(running);
    }
    if (stretch.isEmpty() && owed.isEmpty()) { // not allSent(): new ones may be due at any time
      caution.calm(window.prefix());
    }
    if (running != null && !tried) {
      tried = true;
      statesNext = running.suspect().kind() == Outgoing.Kind.STATE;
    }
    boolean sent = statesNext && sendStates();
    statesNext = !statesNext;
    return sent || sendEntries() || sendStates();
  }

  private boolean sendProbe(Trial running) throws BrokerException {
    RetainedStates.State state = parts.states().latest(stateTopic);
    boolean usable =
        state != null && !caution.withholds(state) && !running.suspect().topic().equals(stateTopic);
    Window.Slot slot;
    boolean sent;
    if (state != null && usable) {
      slot = window.add(message(Outgoing.Kind.PROBE, state), time.nanos());
      sent = link.trySend(slot);
    } else {
      Outgoing question = new Outgoing(Outgoing.Kind.PROBE, 0, stateTopic, new byte[0], false);
      slot = window.add(question, time.nanos());
      sent = link.tryAsk(slot);
    }
    if (sent) {
      running.sent();
    } else {
      window.takeBack(slot);
    }
    return sent;
  }

  private void check() throws BrokerException {
    BrokerException gone = lost;
    if (gone != null) {
      throw gone;
    }
    long now = time.nanos();
    // large records on a slow line wait for each other, so only silence counts
    long silence = Math.min(window.oldest(now), now - heardAt);
    if (silence > parts.pace().acknowledgeWait().toNanos()) {
      throw BrokerException.because(
          "no acknowledgement for %d s with %d messages on their way"
              .formatted(Duration.ofNanos(silence).toSeconds(), window.size()));
    }
  }

  private void takeAll() throws InterruptedException {
    for (MqttLink.Event event = link.next(Duration.ZERO);
        event != null;
        event = link.next(Duration.ZERO)) {
      take(event);
    }
  }

  private void take(MqttLink.@Nullable Event event) {
    if (event instanceof MqttLink.Event.Acknowledged acknowledged) {
      heardAt = time.nanos();
      Outgoing message = acknowledged.slot().message();
      if (message.kind() == Outgoing.Kind.ENTRY) {
        parts.progress().acknowledged.incrementAndGet();
      }
      window.done(acknowledged.slot());
      caution.acknowledged(message);
    } else if (event instanceof MqttLink.Event.Lost end && lost == null) {
      // acknowledgements behind the first loss are still counted
      lost = end.why();
    }
  }

  private boolean sendStates() throws BrokerException {
    boolean sent = false;
    RetainedStates states = parts.states();
    for (RetainedStates.State state = states.take(); state != null; state = states.take()) {
      if (caution.withholds(state)) {
        owed.remove(state.topic);
        continue;
      }
      if (!send(message(Outgoing.Kind.STATE, state))) {
        states.giveBack(state);
        return sent;
      }
      owed.remove(state.topic);
      sent = true;
      if (caution.careful()) {
        return true; // to try the next one now would only put it behind all others
      }
    }
    return sent;
  }

  private static Outgoing message(Outgoing.Kind kind, RetainedStates.State state) {
    return new Outgoing(kind, 0, state.topic, state.payload, true);
  }

  /** Sends what the window takes; returns whether anything moved. */
  private boolean sendEntries() throws BrokerException {
    following.readAhead();
    boolean moved = sendTallyIfDue();
    for (JournalEntry entry = following.peek();
        entry != null && !stretch.full(caution.stretch()) && pass(entry);
        entry = following.peek()) {
      following.next();
      moved = true;
      sendTallyIfDue();
    }
    return moved;
  }

  /** Sends an entry or puts it aside; returns false if neither can be done now. */
  private boolean pass(JournalEntry entry) throws BrokerException {
    boolean onShelf = source.onShelf(entry.position());
    if (!onShelf) {
      String why = caution.condemned(entry.position());
      String topic = "";
      byte[] payload = parts.format().payload(entry);
      if (payload.length > LARGEST_PAYLOAD) {
        why = "its payload has %d bytes, more than %d".formatted(payload.length, LARGEST_PAYLOAD);
      } else if (why == null) {
        try {
          topic = parts.topics().of(entry.station(), entry.kind());
        } catch (IllegalArgumentException e) {
          why = e.getMessage() + ". Records of such a name cannot be published";
        }
      }
      onShelf = why != null;
      if (why != null ? !shelve(entry, why) : !send(message(entry, topic, payload))) {
        return false;
      }
    }
    if (!onShelf) {
      parts.progress().published.incrementAndGet();
      furthest = entry.position();
    }
    stretch.add(entry, onShelf, time.nanos());
    return true;
  }

  private static Outgoing message(JournalEntry entry, String topic, byte[] payload) {
    return new Outgoing(Outgoing.Kind.ENTRY, entry.position(), topic, payload, false);
  }

  private boolean shelve(JournalEntry entry, String why) {
    boolean shelved = following.shelve(entry, why);
    if (shelved) {
      caution.shelved(entry.position());
    }
    return shelved;
  }

  private boolean sendTallyIfDue() throws BrokerException {
    boolean due =
        stretch.full(caution.stretch()) || (following.isEmpty() && stretch.rested(time.nanos()));
    return due && !stretch.isEmpty() && sendTally();
  }

  private boolean sendTally() throws BrokerException {
    Outgoing next = tally;
    // once it is made it is that one, so nothing may be added to its stretch until it went
    if (next == null || next.position() != stretch.to()) {
      next = stretch.tally(tallyTopic, identity, parts.format());
      tally = next;
    }
    if (!send(next)) {
      return false;
    }
    told = next.position();
    stretch.clear();
    return true;
  }

  private boolean send(Outgoing message) throws BrokerException {
    if (caution.careful() && !window.isEmpty()) {
      return false;
    }
    Window.Slot slot = window.add(message, time.nanos());
    boolean sent = false;
    try {
      sent = link.trySend(slot);
    } finally {
      if (!sent) {
        window.takeBack(slot);
      }
    }
    return sent;
  }

  /** Waits for an acknowledgement, a new entry or, within a slice, a new state. */
  private void pause() throws InterruptedException {
    if (caution.careful() || following.failing()) {
      take(link.next(SHORT_SLICE));
    } else if (!following.isEmpty()) {
      take(link.next(SLICE)); // the window is full
    } else if (!window.isEmpty()) {
      take(link.next(SHORT_SLICE));
    } else {
      Duration patience = stretch.patience(time.nanos());
      if (!following.awaitMore(patience.compareTo(SLICE) < 0 ? patience : SLICE)) {
        take(link.next(SHORT_SLICE));
      }
    }
  }
}
