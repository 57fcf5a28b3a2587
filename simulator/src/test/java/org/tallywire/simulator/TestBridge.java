package org.tallywire.simulator;

import java.io.ByteArrayOutputStream;
import java.io.IOException;
import java.io.InputStream;
import java.io.OutputStream;
import java.nio.charset.StandardCharsets;
import java.time.Duration;
import java.util.Arrays;
import java.util.Optional;
import java.util.concurrent.BlockingQueue;
import java.util.concurrent.LinkedBlockingQueue;
import java.util.concurrent.TimeUnit;
import java.util.function.Predicate;
import org.tallywire.simulator.face.Line;
import org.tallywire.simulator.face.LineCodec;
import org.tallywire.simulator.face.LineCodec.Decoded;

/** The bridge's end of a real wire: a thread that reads, and lines to wait for. */
final class TestBridge implements AutoCloseable {

  static final Duration PATIENCE = Duration.ofSeconds(60);

  private final InputStream in;
  private final OutputStream out;
  private final BlockingQueue<Line> lines = new LinkedBlockingQueue<>();
  private final ByteArrayOutputStream raw = new ByteArrayOutputStream();
  private final Thread reader = new Thread(this::read, "test-bridge");
  private volatile boolean ended;

  TestBridge(InputStream in, OutputStream out) {
    this.in = in;
    this.out = out;
    reader.setDaemon(true);
    reader.start();
  }

  private void read() {
    ByteArrayOutputStream line = new ByteArrayOutputStream();
    try {
      for (int b = in.read(); b >= 0; b = in.read()) {
        synchronized (raw) {
          raw.write(b);
        }
        if (b == '\n') {
          whole(line.toByteArray()).ifPresent(lines::add);
          line.reset();
        } else {
          line.write(b);
        }
      }
    } catch (IOException hungUp) {
      // As on a serial port whose cable is pulled; the test looks at ended().
    }
    ended = true;
  }

  private static Optional<Line> whole(byte[] bytes) {
    for (int i = 0; i < bytes.length; i++) {
      if ((bytes[i] == '<' || bytes[i] == '!')
          && LineCodec.decode(Arrays.copyOfRange(bytes, i, bytes.length))
              instanceof Decoded.Whole found) {
        return Optional.of(found.line());
      }
    }
    return Optional.empty();
  }

  /** Returns whether the other side has hung up. */
  boolean ended() {
    return ended;
  }

  /** Returns all bytes so far. */
  byte[] raw() {
    synchronized (raw) {
      return raw.toByteArray();
    }
  }

  void say(Line line) throws IOException {
    out.write(LineCodec.encode(line).getBytes(StandardCharsets.US_ASCII));
    out.flush();
  }

  /** Waits for the next line that is wanted; others before it are passed over. */
  Line await(Predicate<Line> wanted) throws InterruptedException {
    long deadline = System.nanoTime() + PATIENCE.toNanos();
    while (true) {
      Line line = lines.poll(deadline - System.nanoTime(), TimeUnit.NANOSECONDS);
      if (line == null) {
        throw new AssertionError(
            "no such line within %s; heard: %s"
                .formatted(PATIENCE, new String(raw(), StandardCharsets.ISO_8859_1)));
      }
      if (wanted.test(line)) {
        return line;
      }
    }
  }

  Line await(String kind) throws InterruptedException {
    return await(line -> line.kind().equals(kind));
  }

  /** Says hello and asks for readings after a number; returns the boot id. */
  String open(int req, long after, int credit) throws IOException, InterruptedException {
    say(new Line('>', "hello").with("req", req).with("version", "1.1"));
    String boot = await("hello").fields().get("boot");
    say(
        new Line('>', "send")
            .with("req", req + 1)
            .with("boot", boot)
            .with("after", after)
            .with("credit", credit));
    await("ok");
    return boot;
  }

  void ack(String boot, long seq, int credit) throws IOException {
    say(new Line('>', "ack").with("boot", boot).with("seq", seq).with("credit", credit));
  }

  /** Takes and acknowledges readings from one number to another. */
  void take(String boot, long first, long last) throws IOException, InterruptedException {
    for (long seq = first; seq <= last; seq++) {
      String wanted = Long.toString(seq);
      await(line -> line.kind().equals("reading") && wanted.equals(line.fields().get("seq")));
      ack(boot, seq, 8);
    }
  }

  @Override
  public void close() throws IOException {
    out.close();
    in.close();
  }
}
