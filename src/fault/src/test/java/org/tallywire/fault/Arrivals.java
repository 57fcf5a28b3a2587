package org.tallywire.fault;

import java.io.BufferedInputStream;
import java.io.ByteArrayOutputStream;
import java.io.DataInputStream;
import java.io.IOException;
import java.io.OutputStream;
import java.net.InetAddress;
import java.net.Socket;
import java.nio.charset.StandardCharsets;
import java.util.ArrayList;
import java.util.HashSet;
import java.util.List;
import java.util.Set;
import java.util.regex.Matcher;
import java.util.regex.Pattern;

/**
 * A subscriber, at QoS 0, that notes when each reading arrived and does little else, so that it
 * takes little from what is measured beside it. Its methods may be called from any thread.
 */
final class Arrivals implements AutoCloseable {

  private static final int WAIT_MILLIS = 10_000;
  private static final int MOST_KEPT = 4_000;

  /** The instrument's own number in our record, and in that of the plain script. */
  private static final Pattern NUMBER = Pattern.compile("\"(?:number\":|seq\": \")(\\d+)");

  private static final Pattern STATION = Pattern.compile(".*/station-(\\d+)/reading");

  /**
   * A reading that came.
   *
   * @param station from 1; what has none is of the first
   * @param nanos when, as {@link System#nanoTime}
   */
  record Arrival(int station, long number, long nanos) {}

  private final List<Arrival> readings = new ArrayList<>();
  private final List<Packet> kept = new ArrayList<>();
  private final Socket socket;
  private long messages;
  private long lastAt;

  /** Connects to a broker and returns when it is subscribed. */
  Arrivals(int port) throws IOException {
    socket = new Socket(InetAddress.getLoopbackAddress(), port);
    socket.setSoTimeout(WAIT_MILLIS);
    OutputStream out = socket.getOutputStream();
    DataInputStream in = new DataInputStream(new BufferedInputStream(socket.getInputStream()));
    // MQTT 3.1.1, sections 3.1 and 3.8: clean session, no keep-alive; everything, at QoS 0
    ByteArrayOutputStream both = new ByteArrayOutputStream();
    both.write(new byte[] {0x10, 12, 0, 4, 'M', 'Q', 'T', 'T', 4, 2, 0, 0, 0, 0});
    both.write(new byte[] {(byte) 0x82, 6, 0, 1, 0, 1, '#', 0});
    out.write(both.toByteArray());
    if (Packet.read(in).first() != 0x20 || Packet.read(in).first() != 0x90) {
      throw new IOException("the broker did not let the subscriber in");
    }
    socket.setSoTimeout(0);
    Thread reader = new Thread(() -> listen(in), "arrivals");
    reader.setDaemon(true);
    reader.start();
  }

  private void listen(DataInputStream in) {
    try {
      while (true) {
        Packet packet = Packet.read(in);
        if (packet.isPublish()) {
          take(packet, System.nanoTime());
        }
      }
    } catch (IOException e) {
      // the broker is gone, or we are
    }
  }

  private synchronized void take(Packet packet, long nanos) {
    String topic = packet.topic();
    if (topic.endsWith("/state")) {
      return;
    }
    messages++;
    lastAt = nanos;
    if (kept.size() < MOST_KEPT) {
      kept.add(packet);
    }
    if (topic.endsWith("/reading")) {
      Matcher number = NUMBER.matcher(packet.payload());
      Matcher station = STATION.matcher(topic);
      readings.add(
          new Arrival(
              station.matches() ? Integer.parseInt(station.group(1)) : 1,
              number.find() ? Long.parseLong(number.group(1)) : 0,
              nanos));
    }
  }

  /** Returns how many messages came, those of a state apart. */
  synchronized long messages() {
    return messages;
  }

  /** Returns when the last message came. */
  synchronized long lastAt() {
    return lastAt;
  }

  synchronized int readings() {
    return readings.size();
  }

  /** Returns the readings from the n-th on, in the order in which they came. */
  synchronized List<Arrival> since(int n) {
    return List.copyOf(readings.subList(n, readings.size()));
  }

  /** Returns how many different readings came. */
  synchronized int different() {
    Set<List<Long>> all = new HashSet<>();
    readings.forEach(one -> all.add(List.of((long) one.station(), one.number())));
    return all.size();
  }

  /** Returns the first messages, to be sent once more. */
  synchronized List<Packet> kept() {
    return List.copyOf(kept);
  }

  /** Returns the bytes of the mean topic and payload together. */
  synchronized double meanBytes() {
    return kept.stream()
        .mapToInt(one -> bytes(one.topic()) + bytes(one.payload()))
        .average()
        .orElse(0);
  }

  private static int bytes(String text) {
    return text.getBytes(StandardCharsets.UTF_8).length;
  }

  @Override
  public void close() throws IOException {
    socket.close();
  }
}
