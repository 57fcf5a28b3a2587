package org.tallywire.publish;

import java.io.IOException;
import java.time.Duration;
import java.util.Arrays;
import java.util.List;
import java.util.Optional;
import java.util.Set;
import java.util.concurrent.ArrayBlockingQueue;
import java.util.concurrent.BlockingQueue;
import java.util.concurrent.CountDownLatch;
import java.util.concurrent.LinkedBlockingQueue;
import java.util.concurrent.Semaphore;
import java.util.concurrent.TimeUnit;
import java.util.concurrent.atomic.AtomicLong;
import java.util.function.BooleanSupplier;
import org.eclipse.paho.client.mqttv3.IMqttActionListener;
import org.eclipse.paho.client.mqttv3.IMqttDeliveryToken;
import org.eclipse.paho.client.mqttv3.IMqttToken;
import org.eclipse.paho.client.mqttv3.MqttAsyncClient;
import org.eclipse.paho.client.mqttv3.MqttCallback;
import org.eclipse.paho.client.mqttv3.MqttConnectOptions;
import org.eclipse.paho.client.mqttv3.MqttException;
import org.eclipse.paho.client.mqttv3.MqttMessage;
import org.eclipse.paho.client.mqttv3.persist.MemoryPersistence;
import org.jspecify.annotations.Nullable;
import org.slf4j.Logger;
import org.slf4j.LoggerFactory;
import org.tallywire.api.TimeSource;

/**
 * One connection to the broker, from its attempt to its end; a dumb pipe with a window of 64. It
 * never connects again and keeps nothing: that is what the journal is for. Used by one thread; the
 * library's threads only put events in.
 */
final class MqttLink {

  private static final Logger LOG = LoggerFactory.getLogger(MqttLink.class);

  private static final int WINDOW = 64;

  /** Twice the window, so that the library's own refusal is never met. */
  private static final int LIBRARY_WINDOW = 128;

  private static final int KEEP_ALIVE_SECONDS = 20;
  private static final int SOCKET_SECONDS = 10;
  private static final int AT_LEAST_ONCE = 1;
  private static final long DISCONNECT_MILLIS = 500;
  private static final int LARGEST_RECEIVED = 1024;
  private static final int RECEIVED_WAITING = 256;
  private static final int REFUSED_SUBSCRIPTION = 0x80;
  private static final Duration ANSWER_SLICE = Duration.ofMillis(50);
  private static final Duration LONGEST_SETTLE = Duration.ofSeconds(1);
  private static final Duration LONGEST_END = Duration.ofMinutes(1);
  private static final Duration END_AGAIN = Duration.ofMillis(100);
  private static final int SPARE = 16;
  private static final Duration LONGEST_TEAR_DOWN = Duration.ofMillis(2500);

  /** What a connection has to say. */
  sealed interface Event {
    /** The broker has accepted us. */
    record Up() implements Event {}

    /** The broker has acknowledged the message of a slot. */
    record Acknowledged(Window.Slot slot) implements Event {}

    /** The connection is of no more use. */
    record Lost(BrokerException why) implements Event {}
  }

  /** A message that came in on a topic that was subscribed to. */
  @SuppressWarnings("ArrayRecordComponent") // bytes are what it is about; nobody changes them
  record Received(String topic, byte[] payload) {}

  /** What became of the subscription. */
  enum Subscription {
    /** Nothing was subscribed to. */
    NONE,
    /** The broker has not answered yet. */
    ASKED,
    GRANTED,
    REFUSED
  }

  private final BlockingQueue<Received> received = new ArrayBlockingQueue<>(RECEIVED_WAITING);
  private final AtomicLong dropped = new AtomicLong();
  private final BlockingQueue<Event> events = new LinkedBlockingQueue<>();
  private final Semaphore room = new Semaphore(WINDOW);
  private final MqttAsyncClient client;
  private final CountDownLatch answered = new CountDownLatch(1);
  private volatile @Nullable GatedSocket socket;
  private volatile Subscription subscription = Subscription.NONE;
  private final Set<Thread> earlier;
  private volatile List<Thread> left = List.of();

  private MqttLink(MqttAsyncClient client) {
    this.client = client;
    this.earlier = Set.copyOf(threads(client));
  }

  /** Begins an attempt; its outcome comes as the first event. */
  static MqttLink open(BrokerAddress broker, Optional<TlsContext> tls, Optional<Outgoing> will)
      throws BrokerException {
    try {
      // TLS is the socket's business, so to the library every broker is a plain one
      MqttAsyncClient client =
          new MqttAsyncClient(
              broker.uri().replaceFirst("^[a-z]+:", "tcp:"),
              broker.clientId(),
              new MemoryPersistence());
      MqttLink link = new MqttLink(client);
      client.setCallback(link.new Callback());
      MqttConnectOptions options = options(broker);
      options.setSocketFactory(GatedSocket.factory(tls, made -> link.socket = made));
      will.ifPresent(last -> options.setWill(last.topic(), last.payload(), AT_LEAST_ONCE, true));
      client.connect(options, null, link.new ConnectListener());
      return link;
    } catch (MqttException e) {
      throw BrokerException.from("could not begin to connect", e);
    }
  }

  private static MqttConnectOptions options(BrokerAddress broker) {
    MqttConnectOptions options = new MqttConnectOptions();
    options.setMqttVersion(MqttConnectOptions.MQTT_VERSION_3_1_1);
    options.setCleanSession(true);
    options.setAutomaticReconnect(false);
    options.setMaxInflight(LIBRARY_WINDOW);
    options.setKeepAliveInterval(KEEP_ALIVE_SECONDS);
    options.setConnectionTimeout(SOCKET_SECONDS);
    broker.username().ifPresent(options::setUserName);
    broker.password().ifPresent(secret -> options.setPassword(secret.reveal()));
    return options;
  }

  /** Waits for the broker's answer; returns false if told to stop before it came. */
  boolean awaitUp(Duration longest, TimeSource time, BooleanSupplier stopping)
      throws BrokerException, InterruptedException {
    long start = time.nanos();
    while (!stopping.getAsBoolean()) {
      Event event = next(ANSWER_SLICE);
      if (event instanceof Event.Up) {
        return true;
      }
      if (event instanceof Event.Lost lost) {
        throw lost.why();
      }
      if (time.nanos() - start > longest.toNanos()) {
        throw BrokerException.because(
            "could not connect: no answer within %d ms".formatted(longest.toMillis()));
      }
    }
    return false;
  }

  /** Returns the next event, or null if none came in time. */
  @Nullable Event next(Duration wait) throws InterruptedException {
    return events.poll(wait.toNanos(), TimeUnit.NANOSECONDS);
  }

  /** Sends a message at QoS 1 unless 64 are on their way; returns whether it went. */
  boolean trySend(Window.Slot slot) throws BrokerException {
    if (!room.tryAcquire()) {
      return false;
    }
    try {
      Outgoing message = slot.message();
      client.publish(
          message.topic(),
          message.payload(),
          AT_LEAST_ONCE,
          message.retained(),
          null,
          new SendListener(slot));
      return true;
    } catch (MqttException e) {
      throw BrokerException.from("could not hand a message to the connection", e);
    }
  }

  /**
   * Asks the broker for something it must answer (MQTT 3.1.1, MQTT-3.10.4-5) and that changes
   * nothing: to end a subscription there is not.
   */
  boolean tryAsk(Window.Slot slot) throws BrokerException {
    if (!room.tryAcquire()) {
      return false;
    }
    try {
      client.unsubscribe(slot.message().topic(), null, new SendListener(slot));
      return true;
    } catch (MqttException e) {
      throw BrokerException.from("could not hand a question to the connection", e);
    }
  }

  /** Begins to subscribe; what became of it {@link #subscription} says. */
  void subscribe(String filter) throws BrokerException {
    subscription = Subscription.ASKED;
    try {
      client.subscribe(filter, AT_LEAST_ONCE, null, new SubscribeListener());
    } catch (MqttException e) {
      throw BrokerException.from("could not hand a subscription to the connection", e);
    }
  }

  Subscription subscription() {
    return subscription;
  }

  /** Returns the next message that came in, or null if none waits. */
  @Nullable Received received() {
    return received.poll();
  }

  /** Returns how many messages were too large, or too many, and dropped, and begins anew. */
  long takeDropped() {
    return dropped.getAndSet(0);
  }

  /**
   * Ends the connection within 2.5 s, on a thread of its own because the library may never return.
   *
   * @param farewell whether to say goodbye, which keeps the broker from publishing the will
   * @return whether it ended; if not, {@link #ended} says when it has
   */
  boolean close(boolean farewell) {
    Thread tearDown = new Thread(() -> tearDown(farewell), "mqtt-tear-down");
    tearDown.setDaemon(true);
    left = List.of(tearDown);
    tearDown.start();
    try {
      tearDown.join(LONGEST_TEAR_DOWN.toMillis());
    } catch (InterruptedException e) {
      Thread.currentThread().interrupt();
    }
    return ended();
  }

  /** Returns whether no thread of a closed connection is left. */
  boolean ended() {
    return left.stream().noneMatch(Thread::isAlive);
  }

  private void tearDown(boolean farewell) {
    try {
      settle();
      end(farewell);
      endThreads();
    } catch (InterruptedException | IOException e) {
      LOG.debug("the tear-down of a broker connection ended with {}", e.toString());
    }
    left = threadsOfThis();
    if (!left.isEmpty()) {
      LOG.debug("threads of a broker connection that did not end: {}", left);
    }
  }

  /** Not close() as well: it ends nothing more, but takes away what a last thread may still use. */
  private void end(boolean farewell) {
    try {
      client.disconnectForcibly(0, DISCONNECT_MILLIS, farewell);
    } catch (MqttException | RuntimeException e) {
      LOG.debug("ending a broker connection failed: {}", e.toString());
    }
  }

  /**
   * Waits for the library's threads of this connection, and ends those that stay again and again,
   * also after {@link #close} has stopped waiting: one that is told to end before it has begun
   * waits for ever, and so does the sender if the broker's welcome is read while the connection is
   * ended, which makes it believe in the connection again.
   */
  private void endThreads() throws InterruptedException {
    long start = System.nanoTime();
    long waited = 0;
    long again = END_AGAIN.toNanos();
    List<Thread> mine = threadsOfThis();
    while (!mine.isEmpty() && waited < LONGEST_END.toNanos()) {
      if (waited >= again) {
        again = 2 * waited;
        mine.forEach(Thread::interrupt);
        end(false);
      }
      long until = Math.min(again, LONGEST_END.toNanos());
      TimeUnit.NANOSECONDS.timedJoin(mine.get(0), until - waited);
      waited = System.nanoTime() - start;
      mine = threadsOfThis();
    }
  }

  private List<Thread> threadsOfThis() {
    return threads(client).stream().filter(thread -> !earlier.contains(thread)).toList();
  }

  /**
   * Returns the library's threads of a client id: it names them all after it, which has no blanks,
   * and they are of the group of the thread that opened the connection, as this one is.
   */
  private static List<Thread> threads(MqttAsyncClient client) {
    ThreadGroup group = Thread.currentThread().getThreadGroup();
    Thread[] all = new Thread[group.activeCount() + SPARE];
    int count = group.enumerate(all);
    return Arrays.stream(all, 0, count)
        .filter(thread -> thread.getName().startsWith("MQTT "))
        .filter(thread -> thread.getName().endsWith(": " + client.getClientId()))
        .toList();
  }

  /** Lets an attempt that is still under way come to where the library can end it cleanly. */
  private void settle() throws InterruptedException, IOException {
    GatedSocket made = socket;
    if (made == null) {
      return;
    }
    if (made.isConnected()) {
      made.awaitSpoken(LONGEST_SETTLE);
    } else {
      made.close();
      answered.await(LONGEST_SETTLE.toNanos(), TimeUnit.NANOSECONDS);
    }
  }

  private void lost(String what, @Nullable Throwable cause) {
    events.add(new Event.Lost(BrokerException.from(what, cause)));
  }

  private final class ConnectListener implements IMqttActionListener {
    @Override
    public void onSuccess(IMqttToken token) {
      events.add(new Event.Up());
      answered.countDown();
    }

    @Override
    public void onFailure(IMqttToken token, Throwable cause) {
      lost("could not connect", cause);
      answered.countDown();
    }
  }

  private final class SubscribeListener implements IMqttActionListener {
    @Override
    public void onSuccess(IMqttToken token) {
      int[] codes = token.getGrantedQos();
      boolean granted = codes.length == 1 && codes[0] < REFUSED_SUBSCRIPTION;
      subscription = granted ? Subscription.GRANTED : Subscription.REFUSED;
    }

    @Override
    public void onFailure(IMqttToken token, Throwable cause) {
      // the connection has ended, and says so itself
    }
  }

  private final class SendListener implements IMqttActionListener {
    private final Window.Slot slot;

    SendListener(Window.Slot slot) {
      this.slot = slot;
    }

    @Override
    public void onSuccess(IMqttToken token) {
      events.add(new Event.Acknowledged(slot));
      room.release();
    }

    @Override
    public void onFailure(IMqttToken token, Throwable cause) {
      // it may have arrived or not: only sending it again makes sure, over a new connection
      lost("a message was not acknowledged", cause);
    }
  }

  private final class Callback implements MqttCallback {
    @Override
    public void connectionLost(Throwable cause) {
      lost("the connection was lost", cause);
    }

    @Override
    public void messageArrived(String topic, MqttMessage message) {
      byte[] payload = message.getPayload();
      if (payload.length > LARGEST_RECEIVED || !received.offer(new Received(topic, payload))) {
        dropped.incrementAndGet();
      }
    }

    @Override
    public void deliveryComplete(IMqttDeliveryToken token) {
      // the listener of each message tells the same, with its slot
    }
  }
}
