package org.tallywire.fault;

import java.io.ByteArrayOutputStream;
import java.io.DataInputStream;
import java.io.DataOutputStream;
import java.io.IOException;
import java.net.InetAddress;
import java.net.Socket;
import java.nio.charset.StandardCharsets;
import java.util.ArrayList;
import java.util.HashSet;
import java.util.List;
import java.util.Set;
import org.jspecify.annotations.Nullable;

/**
 * A subscriber that hears everything, written from the MQTT 3.1.1 standard. It subscribes at QoS 0,
 * where mosquitto writes a message to it before it acknowledges the publisher, and reads its
 * connection to the very end, so that a broker's death takes nothing from it that was acknowledged.
 */
final class Listener implements AutoCloseable {

  private static final int WAIT_MILLIS = 10_000;

  private final List<String> heard = new ArrayList<>();
  private final Set<String> ids = new HashSet<>();
  private final List<Long> newReadings = new ArrayList<>();
  private @Nullable Socket socket;
  private @Nullable Thread reader;

  /** Connects to a broker and returns when it is subscribed. */
  void attach(int port) throws IOException {
    Socket opened = new Socket(InetAddress.getLoopbackAddress(), port);
    opened.setSoTimeout(WAIT_MILLIS);
    opened.setReceiveBufferSize(4 << 20);
    DataOutputStream out = new DataOutputStream(opened.getOutputStream());
    DataInputStream in = new DataInputStream(opened.getInputStream());
    // section 3.1: protocol MQTT, level 4, clean session, no keep-alive, client id from the broker
    out.write(new byte[] {0x10, 12, 0, 4, 'M', 'Q', 'T', 'T', 4, 2, 0, 0, 0, 0});
    require(Packet.read(in), 0x20);
    byte[] topic = "tallywire/#".getBytes(StandardCharsets.US_ASCII);
    ByteArrayOutputStream subscribe = new ByteArrayOutputStream();
    subscribe.write(new byte[] {(byte) 0x82, (byte) (topic.length + 5), 0, 1, 0});
    subscribe.write(topic.length);
    subscribe.write(topic);
    subscribe.write(0);
    out.write(subscribe.toByteArray());
    require(Packet.read(in), 0x90);
    opened.setSoTimeout(0);
    socket = opened;
    reader = new Thread(() -> listen(in), "listener");
    reader.setDaemon(true);
    reader.start();
  }

  /** Waits until the connection has ended, which the broker is to end, and all of it is read. */
  void awaitEnd() throws InterruptedException {
    if (reader != null) {
      reader.join(WAIT_MILLIS);
      if (reader.isAlive()) {
        throw new AssertionError("the broker did not end the listener's connection");
      }
    }
  }

  /** Returns all records received so far, repeats too, states and tallies not. */
  synchronized List<String> heard() {
    return List.copyOf(heard);
  }

  /** Returns how many different records were received. */
  synchronized int different() {
    return ids.size();
  }

  synchronized boolean has(String id) {
    return ids.contains(id);
  }

  /** Returns how many different readings were received. */
  synchronized int readings() {
    return newReadings.size();
  }

  /**
   * Returns when the first reading after a moment arrived that had not been received before, as
   * {@link System#nanoTime}; 0 if none has yet.
   */
  synchronized long firstReadingAfter(long nanos) {
    int place = newReadings.size();
    while (place > 0 && newReadings.get(place - 1) - nanos > 0) {
      place--;
    }
    return place == newReadings.size() ? 0 : newReadings.get(place);
  }

  private static void require(Packet packet, int first) {
    if (packet.first() != first) {
      throw new AssertionError("the broker answered " + packet);
    }
  }

  private void listen(DataInputStream in) {
    try {
      while (true) {
        Packet packet = Packet.read(in);
        if (packet.isPublish()) {
          take(packet.topic(), packet.payload());
        }
      }
    } catch (IOException e) {
      // the broker is gone, or we are
    }
  }

  private synchronized void take(String topic, String record) {
    String kind = topic.substring(topic.lastIndexOf('/') + 1);
    if (Set.of("state", "tally").contains(kind)) {
      return;
    }
    heard.add(record);
    if (ids.add(Told.of(record).id()) && kind.equals("reading")) {
      newReadings.add(System.nanoTime());
    }
  }

  @Override
  public void close() throws IOException {
    if (socket != null) {
      socket.close();
    }
  }
}
