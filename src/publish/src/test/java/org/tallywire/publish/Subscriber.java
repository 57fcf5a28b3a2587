package org.tallywire.publish;

import static org.junit.jupiter.api.Assertions.fail;

import java.io.BufferedReader;
import java.io.IOException;
import java.io.InputStreamReader;
import java.nio.charset.StandardCharsets;
import java.util.ArrayList;
import java.util.HexFormat;
import java.util.List;
import java.util.concurrent.CopyOnWriteArrayList;
import java.util.concurrent.CountDownLatch;
import java.util.concurrent.TimeUnit;

/** A real mosquitto_sub, whose program is not ours; collects what it prints. */
public final class Subscriber implements AutoCloseable {

  /** A message as it arrived. */
  public record Message(String topic, boolean retained, String hex) {

    public String text() {
      byte[] bytes = HexFormat.of().parseHex(hex);
      return new String(bytes, StandardCharsets.UTF_8);
    }
  }

  private final Process process;
  private final List<Message> messages = new CopyOnWriteArrayList<>();
  private final CountDownLatch subscribed = new CountDownLatch(1);

  private Subscriber(Process process) {
    this.process = process;
  }

  /** Subscribes at QoS 0, where the broker writes to us before it acknowledges the publisher. */
  public static Subscriber start(int port, String topic) throws Exception {
    return start(List.of("-h", "127.0.0.1", "-p", Integer.toString(port), "-q", "0", "-t", topic));
  }

  /** Subscribes with options of mosquitto_sub. */
  public static Subscriber start(List<String> options) throws Exception {
    // stdbuf: line by line also into a pipe
    List<String> command = new ArrayList<>(List.of("stdbuf", "-oL", "mosquitto_sub", "-d"));
    command.addAll(options);
    command.addAll(List.of("-F", "message|%t|%r|%x"));
    Process process = new ProcessBuilder(command).redirectErrorStream(true).start();
    Subscriber subscriber = new Subscriber(process);
    Thread reader = new Thread(subscriber::read, "subscriber-output");
    reader.setDaemon(true);
    reader.start();
    if (!subscriber.subscribed.await(10, TimeUnit.SECONDS)) {
      subscriber.close();
      fail("mosquitto_sub did not subscribe within 10 s");
    }
    return subscriber;
  }

  /** Returns what has arrived so far; the list goes on growing. */
  public List<Message> messages() {
    return messages;
  }

  private void read() {
    try (BufferedReader lines =
        new BufferedReader(
            new InputStreamReader(process.getInputStream(), StandardCharsets.UTF_8))) {
      for (String line = lines.readLine(); line != null; line = lines.readLine()) {
        if (line.startsWith("message|")) {
          String[] parts = line.split("\\|", -1);
          messages.add(new Message(parts[1], parts[2].equals("1"), parts[3]));
        } else if (line.contains("SUBACK") || line.startsWith("Subscribed")) {
          subscribed.countDown();
        }
      }
    } catch (IOException e) {
      // the process was ended
    }
  }

  @Override
  public void close() {
    process.destroyForcibly();
  }
}
