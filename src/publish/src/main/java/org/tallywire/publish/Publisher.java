package org.tallywire.publish;

import java.time.Duration;
import java.util.SplittableRandom;
import java.util.concurrent.CountDownLatch;
import java.util.concurrent.TimeUnit;
import java.util.concurrent.atomic.AtomicLong;
import org.jspecify.annotations.Nullable;
import org.slf4j.Logger;
import org.slf4j.LoggerFactory;
import org.tallywire.api.TimeSource;
import org.tallywire.journal.Journal;
import org.tallywire.journal.JournalException;

/**
 * Follows the journal and publishes each entry's payload byte for byte, in order, at QoS 1, over
 * MQTT 3.1.1. Its cursor {@code publisher} moves only behind the broker's acknowledgements; after
 * any loss it starts again from there, so an entry may arrive more than once, with the same id. One
 * thread, "publisher"; all methods may be called from any thread.
 */
public final class Publisher implements AutoCloseable {

  /** The station under which the bridge itself has its state and its last will. */
  public static final String BRIDGE = "bridge";

  private static final Logger LOG = LoggerFactory.getLogger(Publisher.class);
  private static final String STATE = "state";
  private static final Duration SLICE = Duration.ofMillis(50);
  private static final Duration LONGEST_CLOSE = Duration.ofSeconds(8);

  /** What every connection works with. */
  record Parts(
      Journal journal,
      Topics topics,
      RetainedStates states,
      Progress progress,
      Pace pace,
      TimeSource time) {}

  private final BrokerAddress broker;
  private final byte[] will;
  private final StateListener listener;
  private final Parts parts;
  private final BackOff backOff;
  private final AtomicLong leftBehind = new AtomicLong();
  private final CountDownLatch stop = new CountDownLatch(1);
  private final Thread thread = new Thread(this::run, "publisher");

  private boolean started;
  private @Nullable BrokerState told;

  /**
   * @param will the bridge's own state "down": published by the broker if the connection ends
   *     without a farewell; retained, at most 256 KiB
   */
  public Publisher(
      Journal journal, BrokerAddress broker, byte[] will, TimeSource time, StateListener listener) {
    this(journal, broker, will, time, listener, Pace.usual());
  }

  Publisher(
      Journal journal,
      BrokerAddress broker,
      byte[] will,
      TimeSource time,
      StateListener listener,
      Pace pace) {
    requireSmall(BRIDGE, will);
    Topics topics = new Topics(broker.root(), broker.site());
    this.broker = broker;
    this.will = will.clone();
    this.listener = listener;
    this.parts = new Parts(journal, topics, new RetainedStates(), new Progress(), pace, time);
    this.backOff = new BackOff(pace, new SplittableRandom());
  }

  /** Begins to connect and publish, for as long as it takes, until closed. */
  public synchronized void start() {
    if (started || stop.getCount() == 0) {
      throw new IllegalStateException("a publisher is started once, and not after its close");
    }
    started = true;
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
    requireSmall(station, payload);
    parts.states().put(parts.topics().of(station, STATE), payload);
  }

  /**
   * Waits until every entry up to a journal position is acknowledged by the broker and the cursor
   * says so, or was skipped; returns whether it is. Ends early once the publisher is closed.
   */
  public boolean awaitDelivered(long position, Duration wait) throws InterruptedException {
    return parts.progress().awaitDelivered(position, wait);
  }

  /** Returns how many times an entry was given to a connection, repeats included. */
  public long published() {
    return parts.progress().published.get();
  }

  /** Returns how many acknowledgements for entries came, repeats included. */
  public long acknowledged() {
    return parts.progress().acknowledged.get();
  }

  /**
   * Returns how many entries could not be sent at all and were passed over, each with a log line.
   */
  public long skipped() {
    return parts.progress().skipped.get();
  }

  /** Returns how many connections did not end in time and left threads behind. */
  public long leftBehind() {
    return leftBehind.get();
  }

  /**
   * Waits shortly for what is on its way, the latest states included, then says goodbye to the
   * broker, which drops the will; within 8 s, and harmless when called again. The journal must
   * still be open, and the bridge's last state ("stopped") published before.
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
    tell(BrokerState.CONNECTING, "connecting to broker %s".formatted(broker.uri()));
    try {
      while (!stopping()) {
        Duration pause = connection();
        if (stop.await(pause.toNanos(), TimeUnit.NANOSECONDS)) {
          return;
        }
      }
    } catch (InterruptedException e) {
      LOG.error("the publisher was interrupted and ends; nothing is published any more", e);
    }
  }

  /** Goes through one connection from attempt to end; returns the pause before the next. */
  private Duration connection() throws InterruptedException {
    long upAt = 0;
    boolean up = false;
    try {
      MqttLink link = MqttLink.open(broker, parts.topics().of(BRIDGE, STATE), will);
      boolean orderly = false;
      try {
        up = awaitUp(link);
        if (up) {
          upAt = parts.time().nanos();
          parts.states().sendAllAgain();
          Delivery delivery = new Delivery(parts, link);
          tell(
              BrokerState.CONNECTED,
              "connected to broker %s as client \"%s\"".formatted(broker.uri(), broker.clientId()));
          delivery.run(this::stopping);
          orderly = true;
        }
      } finally {
        end(link, orderly);
      }
      return Duration.ZERO;
    } catch (BrokerException e) {
      return failed(e, up, upAt);
    } catch (JournalException | RuntimeException e) {
      Duration pause = backOff.next();
      LOG.error("publishing failed, tried again in {} ms", pause.toMillis(), e);
      return pause;
    }
  }

  /** Waits for the broker's answer; returns false if told to stop before it came. */
  private boolean awaitUp(MqttLink link) throws BrokerException, InterruptedException {
    long start = parts.time().nanos();
    while (!stopping()) {
      MqttLink.Event event = link.next(SLICE);
      if (event instanceof MqttLink.Event.Up) {
        return true;
      }
      if (event instanceof MqttLink.Event.Lost lost) {
        throw lost.why();
      }
      if (parts.time().nanos() - start > parts.pace().connectWait().toNanos()) {
        throw BrokerException.because(
            "could not connect: no answer within %d ms"
                .formatted(parts.pace().connectWait().toMillis()));
      }
    }
    return false;
  }

  private Duration failed(BrokerException e, boolean wasUp, long upAt) {
    if (e.refused()) {
      Duration pause = parts.pace().refusedPause();
      tell(
          BrokerState.REFUSED,
          "broker %s refused client \"%s\", user \"%s\": %s. Check the user name, the password file and the broker's access list. Records are kept in the journal; trying again in %d ms"
              .formatted(
                  broker.uri(),
                  broker.clientId(),
                  broker.username().orElse(""),
                  e.getMessage(),
                  pause.toMillis()));
      return pause;
    }
    if (wasUp && parts.time().nanos() - upAt > parts.pace().settled().toNanos()) {
      backOff.reset();
    }
    Duration pause = backOff.next();
    tell(
        wasUp ? BrokerState.CONNECTING : BrokerState.UNREACHABLE,
        "broker %s: %s. Records are kept in the journal; trying again in %d ms"
            .formatted(broker.uri(), e.getMessage(), pause.toMillis()));
    return pause;
  }

  private void end(MqttLink link, boolean farewell) {
    if (!link.close(farewell)) {
      LOG.warn(
          "a connection to broker {} did not end in time; left behind so far: {}",
          broker.uri(),
          leftBehind.incrementAndGet());
    }
  }

  private void tell(BrokerState state, String sentence) {
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
      listener.brokerState(state, sentence);
    } catch (RuntimeException e) {
      LOG.error("a listener failed to take the broker's state {}", state, e);
    }
  }

  private boolean stopping() {
    return stop.getCount() == 0;
  }

  private static void requireSmall(String station, byte[] payload) {
    if (payload.length > Delivery.LARGEST_PAYLOAD) {
      throw new IllegalArgumentException(
          "the state of station \"%s\" has %d bytes, more than %d"
              .formatted(station, payload.length, Delivery.LARGEST_PAYLOAD));
    }
  }
}
