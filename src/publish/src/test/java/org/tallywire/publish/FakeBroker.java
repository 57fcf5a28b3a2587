package org.tallywire.publish;

import java.io.IOException;
import java.net.InetAddress;
import java.net.InetSocketAddress;
import java.net.ServerSocket;
import java.net.Socket;
import java.time.Duration;
import java.util.List;
import java.util.Set;
import java.util.concurrent.ConcurrentHashMap;
import java.util.concurrent.CopyOnWriteArrayList;
import java.util.concurrent.ScheduledThreadPoolExecutor;
import java.util.concurrent.atomic.AtomicInteger;
import java.util.function.IntFunction;
import java.util.function.Predicate;
import java.util.random.RandomGenerator;

/**
 * A peer on a loopback port that speaks enough MQTT 3.1.1 to misbehave as a script says. It takes
 * messages and forwards none; what it read can be looked at, repeats included. Thread-safe.
 */
public final class FakeBroker implements AutoCloseable {

  /**
   * A message that was read whole.
   *
   * @param connection the number of its connection, from 1
   */
  @SuppressWarnings("ArrayRecordComponent") // bytes are what it is about; they are not compared
  public record Message(int connection, String topic, boolean retained, byte[] payload) {}

  /**
   * How one connection is treated; each method adds to it and returns it. Give every connection its
   * own, and change it no more then.
   */
  public static final class Manner {
    boolean hangsUp;
    boolean silent;
    int code;
    boolean halfAnswer;
    boolean acknowledges = true;
    boolean halfAcknowledgement;
    Duration late = Duration.ZERO;
    int copies = 1;
    int lastPublish = Integer.MAX_VALUE;
    boolean lastAcknowledged;
    Duration life = Duration.ofDays(1);
    int bytesPerSecond = Integer.MAX_VALUE;
    int granted = 1;
    boolean endsAtSubscribe;
    Predicate<Message> unbearable = message -> false;
    double chance;
    RandomGenerator random = new java.util.SplittableRandom(0);

    private Manner() {}

    /** Accepts, acknowledges everything at once, grants every subscription. */
    public static Manner good() {
      return new Manner();
    }

    /** Takes everything and never answers, not even the connection itself. */
    public static Manner silent() {
      Manner manner = good();
      manner.silent = true;
      return manner;
    }

    /** Ends the connection as soon as it is there. */
    public static Manner hangsUp() {
      Manner manner = good();
      manner.hangsUp = true;
      return manner;
    }

    /** Refuses with a return code, 1 to 5 (MQTT 3.1.1, table 3.1), and ends the connection. */
    public static Manner refuses(int code) {
      Manner manner = good();
      manner.code = code;
      return manner;
    }

    /** Answers the connection with half a packet and ends it. */
    public static Manner answersByHalf() {
      Manner manner = good();
      manner.halfAnswer = true;
      return manner;
    }

    /** Takes messages and acknowledges none. */
    public Manner thatNeverAcknowledges() {
      acknowledges = false;
      return this;
    }

    /** Acknowledges every message so much later. */
    public Manner thatAcknowledgesAfter(Duration wait) {
      late = wait;
      return this;
    }

    /** Acknowledges every message twice. */
    public Manner thatAcknowledgesTwice() {
      copies = 2;
      return this;
    }

    /** Ends the connection at the n-th message, from 1; before or behind acknowledging it. */
    public Manner thatEndsAtPublish(int n, boolean acknowledged) {
      lastPublish = n;
      lastAcknowledged = acknowledged;
      return this;
    }

    /** Writes half of the acknowledgement of the n-th message and ends the connection. */
    public Manner thatAcknowledgesByHalfAt(int n) {
      lastPublish = n;
      halfAcknowledgement = true;
      return this;
    }

    /** Ends the connection so long after it accepted it. */
    public Manner thatLives(Duration time) {
      life = time;
      return this;
    }

    /** Reads no faster than this. */
    public Manner thatReads(int bytesEverySecond) {
      bytesPerSecond = bytesEverySecond;
      return this;
    }

    /** Answers a subscription with a return code; 0x80 is a refusal. */
    public Manner thatGrants(int returnCode) {
      granted = returnCode;
      return this;
    }

    /** Ends the connection when something is subscribed to. */
    public Manner thatEndsAtSubscribe() {
      endsAtSubscribe = true;
      return this;
    }

    /** Ends the connection at every message that is like this, and acknowledges it not. */
    public Manner thatCannotBear(Predicate<Message> like) {
      unbearable = like;
      return this;
    }

    /** Ends the connection at every packet with a chance, half of the time acknowledging it. */
    public Manner thatEndsByChance(double probability, RandomGenerator drawn) {
      chance = probability;
      random = drawn;
      return this;
    }
  }

  private final ServerSocket server = new ServerSocket();
  private final IntFunction<Manner> script;
  private final AtomicInteger connections = new AtomicInteger();
  private final List<Message> messages = new CopyOnWriteArrayList<>();
  private final Set<FakeBrokerConnection> open = ConcurrentHashMap.newKeySet();
  private final ScheduledThreadPoolExecutor later =
      new ScheduledThreadPoolExecutor(1, work -> thread(work, "fake-broker-later"));

  private FakeBroker(int port, IntFunction<Manner> script) throws IOException {
    this.script = script;
    later.setRemoveOnCancelPolicy(true);
    server.setReuseAddress(true);
    server.bind(new InetSocketAddress(InetAddress.getLoopbackAddress(), port), 50);
    thread(this::accept, "fake-broker").start();
  }

  /**
   * Starts one on a free port.
   *
   * @param script the manner of each connection by its number, from 1
   */
  public static FakeBroker start(IntFunction<Manner> script) throws IOException {
    return start(0, script);
  }

  /** Starts one on a port. */
  public static FakeBroker start(int port, IntFunction<Manner> script) throws IOException {
    return new FakeBroker(port, script);
  }

  public int port() {
    return server.getLocalPort();
  }

  /** Returns how many connections there were so far. */
  public int connections() {
    return connections.get();
  }

  /** Returns what was read so far, in order, repeats included; the list goes on growing. */
  public List<Message> messages() {
    return messages;
  }

  /** Sends a message at QoS 0 to everybody who has subscribed to anything. */
  public void send(String topic, byte[] payload) throws IOException {
    for (FakeBrokerConnection connection : open) {
      connection.send(topic, payload);
    }
  }

  /** Ends every connection that is there now. */
  public void cut() {
    open.forEach(FakeBrokerConnection::end);
  }

  /** Ends it all; its port is free then. */
  @Override
  public void close() throws IOException {
    server.close();
    cut();
    later.shutdownNow();
  }

  ScheduledThreadPoolExecutor later() {
    return later;
  }

  void ended(FakeBrokerConnection connection) {
    open.remove(connection);
  }

  private void accept() {
    try {
      while (true) {
        Socket socket = server.accept();
        int number = connections.incrementAndGet();
        FakeBrokerConnection connection =
            new FakeBrokerConnection(this, socket, number, script.apply(number));
        open.add(connection);
        thread(connection::serve, "fake-broker-" + number).start();
        if (server.isClosed()) {
          connection.end();
        }
      }
    } catch (IOException e) {
      // closed
    }
  }

  private static Thread thread(Runnable work, String name) {
    Thread thread = new Thread(work, name);
    thread.setDaemon(true);
    return thread;
  }
}
