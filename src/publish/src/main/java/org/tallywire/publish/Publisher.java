package org.tallywire.publish;

import java.time.Duration;
import java.util.List;
import java.util.Optional;
import java.util.SplittableRandom;
import java.util.concurrent.CopyOnWriteArrayList;
import java.util.concurrent.CountDownLatch;
import java.util.concurrent.TimeUnit;
import java.util.stream.Stream;
import org.jspecify.annotations.Nullable;
import org.slf4j.Logger;
import org.slf4j.LoggerFactory;
import org.tallywire.api.TimeSource;
import org.tallywire.journal.Journal;
import org.tallywire.journal.JournalException;

/**
 * Follows the journal and publishes each entry, in the form that the format gives it (byte for byte
 * unless told otherwise), in order, at QoS 1, over MQTT 3.1.1, with a tally behind each stretch of
 * entries. Its cursor {@code publisher} moves only behind the broker's acknowledgement of a tally;
 * after any loss it starts again from there, so an entry may arrive more than once, with the same
 * id. An entry that the broker does not take goes on the journal's shelf and holds up nothing else.
 * What consumers confirm becomes their cursors. One thread, "publisher"; all methods may be called
 * from any thread.
 */
public final class Publisher implements AutoCloseable {

  /** The station under which the bridge itself has its state and its last will. */
  public static final String BRIDGE = Topics.BRIDGE;

  /** The publisher's cursor and shelf in the journal. */
  public static final String FOLLOWER = "publisher";

  /** Begins the name of a consumer's cursor in the journal. */
  public static final String CONSUMER = "consumer:";

  private static final Logger LOG = LoggerFactory.getLogger(Publisher.class);
  private static final String STATE = "state";
  private static final Duration LONGEST_CLOSE = Duration.ofSeconds(8);

  private final BrokerAddress broker;
  private final Wording wording;
  private final Outgoing will;
  private final StateListener listener;
  private final Confirmations confirmations;
  private final Standings standings;
  private final JournalSource source;
  private final Delivery.Parts parts;
  private final BackOff backOff;
  private final TakeOvers takeOvers;
  private final Credentials credentials;
  private final List<MqttLink> leftBehind = new CopyOnWriteArrayList<>();
  private final CountDownLatch stop = new CountDownLatch(1);
  private final Thread thread = new Thread(new ThreadGroup("publisher"), this::run, "publisher");

  private final Retry beginning;

  private boolean begun;
  private boolean started;
  private @Nullable BrokerState told;

  /** Why consumers are not heard over this connection, and why the journal cannot be used. */
  private String unheard = "";

  private String unread = "";

  /**
   * @param will the bridge's own state "down": published by the broker if the connection ends
   *     without a farewell; retained, at most 256 KiB
   * @param format writes the tallies and gives entries their form
   */
  public Publisher(
      Journal journal,
      BrokerAddress broker,
      byte[] will,
      TallyFormat format,
      TimeSource time,
      StateListener listener) {
    this(journal, broker, will, format, time, listener, Pace.usual());
  }

  Publisher(
      Journal journal,
      BrokerAddress broker,
      byte[] will,
      TallyFormat format,
      TimeSource time,
      StateListener listener,
      Pace pace) {
    Delivery.requireSmall(BRIDGE, will);
    Topics topics = new Topics(broker.root(), broker.site());
    Progress progress = new Progress();
    this.broker = broker;
    this.wording = new Wording(broker);
    this.will = new Outgoing(Outgoing.Kind.STATE, 0, topics.of(BRIDGE, STATE), will.clone(), true);
    this.listener = listener;
    this.confirmations = new Confirmations(journal, topics, broker.consumers(), pace, time);
    this.standings = new Standings(journal, progress, confirmations, listener, time);
    this.source = new JournalSource(journal, progress);
    this.parts =
        new Delivery.Parts(
            source,
            topics,
            new RetainedStates(),
            progress,
            new Caution(pace),
            new Listening(),
            format,
            pace,
            time);
    this.credentials = new Credentials(broker, time);
    this.backOff = new BackOff(pace, new SplittableRandom());
    this.takeOvers = new TakeOvers(pace.settled());
    this.beginning = new Retry("reading the cursors", time);
  }

  /**
   * Begins to connect and publish, for as long as it takes, until closed. Retention waits for the
   * publisher and the consumers from here on.
   */
  public synchronized void start() {
    if (started || stop.getCount() == 0) {
      throw new IllegalStateException("a publisher is started once, and not after its close");
    }
    started = true;
    beginIfDue();
    // the library's threads inherit this: none of them may keep the process alive
    thread.setDaemon(true);
    thread.start();
  }

  /**
   * Publishes a station's present state, retained; the latest one is kept here, not in the journal,
   * and sent again after every reconnection.
   *
   * @throws IllegalArgumentException if the station cannot be part of a topic or the payload is
   *     larger than 256 KiB
   */
  public void publishState(String station, byte[] payload) {
    Delivery.requireSmall(station, payload);
    parts.states().put(parts.topics().of(station, STATE), payload);
  }

  /**
   * Waits until every entry up to a journal position is acknowledged by the broker and the cursor
   * says so, or lies on the shelf; returns whether it is. Ends early once the publisher is closed.
   */
  public boolean awaitDelivered(long position, Duration wait) throws InterruptedException {
    return parts.progress().awaitDelivered(position, wait);
  }

  /** Returns how many times an entry was given to a connection, repeats included. */
  long published() {
    return parts.progress().published.get();
  }

  /** Returns how many acknowledgements for entries came, repeats included. */
  long acknowledged() {
    return parts.progress().acknowledged.get();
  }

  /** Returns how far the records have come. */
  public Standing standing() {
    return standings.now();
  }

  /** Takes an entry off the shelf that has reached the broker in another way. */
  public void takeOffShelf(long position) throws JournalException {
    source.takeOff(position);
  }

  /** Returns how many confirmations of consumers were refused or dropped; none had an effect. */
  long refusedConfirmations() {
    return confirmations.refused();
  }

  /** Returns how many connections did not end in time and still have threads. */
  int leftBehind() {
    leftBehind.removeIf(MqttLink::ended);
    return leftBehind.size();
  }

  /**
   * Waits shortly for what is on its way, the latest states included, then says goodbye to the
   * broker, which drops the will; harmless when called again. After 8 s a thread that has not ended
   * is left behind. The journal must still be open, and the bridge's last state ("stopped")
   * published before.
   */
  @Override
  public void close() {
    boolean running;
    synchronized (this) {
      running = started && stop.getCount() > 0;
      stop.countDown();
    }
    if (running) {
      try {
        thread.join(LONGEST_CLOSE.toMillis());
      } catch (InterruptedException e) {
        Thread.currentThread().interrupt();
      }
      if (thread.isAlive()) {
        LOG.warn("the publisher has not ended within {} s; it is left", LONGEST_CLOSE.toSeconds());
      }
    }
    parts.progress().end();
  }

  private void run() {
    tell(BrokerState.CONNECTING, wording.connecting(), true);
    try {
      while (!stopping()) {
        try {
          rest(connection());
        } catch (RuntimeException | Error e) {
          Duration pause = failed("this is a fault of ours, " + e, e);
          if (stop.await(pause.toNanos(), TimeUnit.NANOSECONDS)) {
            return;
          }
        }
      }
    } catch (InterruptedException e) {
      LOG.error("the publisher was interrupted and ends; nothing is published any more", e);
    }
  }

  /** Lets retention wait for us and the consumers, also while no broker is there. */
  private void beginIfDue() {
    if (begun || !beginning.due()) {
      return;
    }
    try {
      source.begin();
      confirmations.begin();
      begun = true;
      beginning.worked();
    } catch (JournalException e) {
      beginning.failed(e);
    }
  }

  /** Waits, telling how it stands meanwhile. */
  private void rest(Duration pause) throws InterruptedException {
    long end = parts.time().nanos() + pause.toNanos();
    for (long left = pause.toNanos(); left > 0; left = end - parts.time().nanos()) {
      beginIfDue();
      standings.tellIfDue();
      if (stop.await(Math.min(left, Standings.EVERY.toNanos()), TimeUnit.NANOSECONDS)) {
        return;
      }
    }
  }

  /** Goes through one connection from attempt to end; returns the pause before the next. */
  private Duration connection() throws InterruptedException {
    long upAt = 0;
    boolean up = false;
    try {
      MqttLink link = MqttLink.open(broker, credentials.load(), Optional.of(will));
      boolean orderly = false;
      try {
        up = awaitUp(link);
        if (up) {
          upAt = parts.time().nanos();
          parts.states().sendAllAgain();
          confirmations.begin();
          Delivery delivery = new Delivery(parts, link);
          unheard = "";
          unread = "";
          tellUp();
          delivery.run(() -> toldToStop(delivery));
          orderly = true;
        }
      } finally {
        end(link, orderly);
      }
      return Duration.ZERO;
    } catch (BrokerException e) {
      return failed(e, up, upAt);
    } catch (JournalException e) {
      return failed("the journal failed, " + e.getMessage(), e);
    }
  }

  private boolean awaitUp(MqttLink link) throws BrokerException, InterruptedException {
    return link.awaitUp(
        parts.pace().connectWait(),
        parts.time(),
        () -> {
          beginIfDue();
          standings.tellIfDue();
          return stopping();
        });
  }

  private Duration failed(String why, Throwable cause) {
    Duration pause = backOff.next();
    LOG.error("publishing failed, tried again in {} ms", pause.toMillis(), cause);
    tell(BrokerState.CONNECTING, wording.failed(why, pause), false);
    return pause;
  }

  private Duration failed(BrokerException e, boolean wasUp, long upAt) {
    if (e.refused()) {
      Duration pause = parts.pace().refusedPause();
      tell(BrokerState.REFUSED, wording.refused(e, pause), false);
      return pause;
    }
    if (wasUp && parts.time().nanos() - upAt > parts.pace().settled().toNanos()) {
      backOff.reset();
    }
    Duration pause = parts.caution().hurries() ? backOff.shortest() : backOff.next();
    boolean taken =
        wasUp && e.ended() && takeOvers.ended(upAt, parts.time().nanos(), parts.caution());
    tell(
        wasUp ? BrokerState.CONNECTING : BrokerState.UNREACHABLE,
        wording.lost(e, taken, pause),
        false);
    return pause;
  }

  /** Tells that it is connected, and what of it is not well. */
  private void tellUp() {
    List<String> faults = Stream.of(unheard, unread).filter(fault -> !fault.isEmpty()).toList();
    String but = faults.isEmpty() ? "" : ", but " + String.join("; and ", faults);
    tell(BrokerState.CONNECTED, wording.up() + but + ".", faults.isEmpty());
  }

  private void end(MqttLink link, boolean farewell) {
    if (!link.close(farewell)) {
      leftBehind.add(link);
      LOG.warn(
          "a connection to broker {} did not end in time; left behind now: {}",
          broker.uri(),
          leftBehind());
    }
  }

  private void tell(BrokerState state, String what, boolean well) {
    String notice = credentials.notice();
    String sentence = what + notice;
    boolean news = state != told;
    told = state;
    if (!news) {
      LOG.debug("{}: {}", state, sentence);
    } else if (state == BrokerState.REFUSED) {
      LOG.error("{}: {}", state, sentence);
    } else if (state == BrokerState.UNREACHABLE) {
      LOG.warn("{}: {}", state, sentence);
    } else {
      LOG.info("{}: {}", state, sentence);
    }
    try {
      listener.brokerState(state, sentence, well && notice.isEmpty());
    } catch (RuntimeException e) {
      LOG.error("a listener failed to take the broker's state {}", state, e);
    }
  }

  private boolean toldToStop(Delivery delivery) {
    String failure = delivery.failure();
    boolean changed = !failure.equals(unread);
    unread = failure;
    if (credentials.daily() || changed) {
      tellUp();
    }
    return stopping();
  }

  private boolean stopping() {
    return stop.getCount() == 0;
  }

  /** Hears consumers and tells how it stands while records go out. */
  private final class Listening implements Attendant {
    @Override
    public void connected(MqttLink link) throws BrokerException {
      confirmations.connected(link);
    }

    @Override
    public boolean busy(MqttLink link) {
      return confirmations.busy(link);
    }

    @Override
    public void round(MqttLink link, long accepted, long told) {
      confirmations.round(link, accepted, told);
      String news = confirmations.news(link);
      if (news != null) {
        LOG.error("broker {}: {}", broker.uri(), news);
        unheard = news;
        tellUp();
      }
      standings.tellIfDue();
    }
  }
}
