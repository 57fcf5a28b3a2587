package org.tallywire.fault;

import java.io.DataInputStream;
import java.io.EOFException;
import java.io.IOException;
import java.nio.file.Files;
import java.nio.file.Path;
import java.util.ArrayList;
import java.util.List;
import java.util.concurrent.Semaphore;
import java.util.concurrent.TimeUnit;
import org.eclipse.paho.client.mqttv3.IMqttActionListener;
import org.eclipse.paho.client.mqttv3.IMqttToken;
import org.eclipse.paho.client.mqttv3.MqttAsyncClient;
import org.eclipse.paho.client.mqttv3.MqttConnectOptions;
import org.eclipse.paho.client.mqttv3.MqttException;
import org.eclipse.paho.client.mqttv3.persist.MemoryPersistence;

/**
 * The baseline: the MQTT library and nothing else, a process of its own. It sends the messages of a
 * file again and again at QoS 1, 64 under way, which is the publisher's window. Arguments: the
 * broker's port, the file, the seconds for warming up and for measuring. It prints messages,
 * seconds and seconds of processor time.
 */
final class ClientAlone {

  private static final int WINDOW = 64;
  private static final long LIMIT_SECONDS = 10;

  private final MqttAsyncClient client;
  private final List<Packet> messages;
  private final Semaphore room = new Semaphore(WINDOW);
  private int next;

  private ClientAlone(MqttAsyncClient client, List<Packet> messages) {
    this.client = client;
    this.messages = messages;
  }

  public static void main(String[] args) throws Exception {
    MqttAsyncClient client =
        new MqttAsyncClient("tcp://127.0.0.1:" + args[0], "alone", new MemoryPersistence());
    MqttConnectOptions options = new MqttConnectOptions();
    options.setMaxInflight(2 * WINDOW);
    client.connect(options).waitForCompletion(TimeUnit.SECONDS.toMillis(LIMIT_SECONDS));
    ClientAlone alone = new ClientAlone(client, read(Path.of(args[1])));
    alone.send(Double.parseDouble(args[2]));
    Cost before = Cost.of(ProcessHandle.current().pid());
    long begun = System.nanoTime();
    long sent = alone.send(Double.parseDouble(args[3]));
    double seconds = (System.nanoTime() - begun) / 1e9;
    Cost cost = Cost.of(ProcessHandle.current().pid()).since(before);
    System.out.println(sent + " " + seconds + " " + cost.seconds());
    client.disconnectForcibly(0, TimeUnit.SECONDS.toMillis(1));
    System.exit(0);
  }

  private static List<Packet> read(Path file) throws IOException {
    List<Packet> all = new ArrayList<>();
    try (DataInputStream in = new DataInputStream(Files.newInputStream(file))) {
      while (true) {
        all.add(Packet.read(in));
      }
    } catch (EOFException end) {
      return all;
    }
  }

  /** Sends for so long and waits for the last acknowledgement; returns how many it sent. */
  private long send(double seconds) throws MqttException, InterruptedException {
    long end = System.nanoTime() + (long) (seconds * 1e9);
    long sent = 0;
    do {
      take(1);
      Packet message = messages.get(next++ % messages.size());
      client.publish(message.topic(), message.body(), 1, false, null, new Acknowledged());
      sent++;
    } while (System.nanoTime() - end < 0);
    take(WINDOW);
    room.release(WINDOW);
    return sent;
  }

  private void take(int permits) throws InterruptedException {
    if (!room.tryAcquire(permits, LIMIT_SECONDS, TimeUnit.SECONDS)) {
      throw new IllegalStateException("the broker does not acknowledge");
    }
  }

  private final class Acknowledged implements IMqttActionListener {
    @Override
    public void onSuccess(IMqttToken token) {
      room.release();
    }

    @Override
    public void onFailure(IMqttToken token, Throwable cause) {
      System.err.println("a message failed: " + cause);
      System.exit(1);
    }
  }
}
