package org.tallywire.publish;

import java.io.DataInputStream;
import java.io.FilterInputStream;
import java.io.IOException;
import java.io.InputStream;
import java.io.OutputStream;
import java.net.Socket;
import java.nio.ByteBuffer;
import java.nio.charset.StandardCharsets;
import java.time.Duration;
import java.util.concurrent.RejectedExecutionException;
import java.util.concurrent.TimeUnit;
import java.util.concurrent.locks.LockSupport;

/** One connection of a {@link FakeBroker}; packets by MQTT 3.1.1, chapter 3. */
final class FakeBrokerConnection {

  private static final int CONNECT = 1;
  private static final int PUBLISH = 3;
  private static final int SUBSCRIBE = 8;
  private static final int UNSUBSCRIBE = 10;
  private static final int PINGREQ = 12;
  private static final int DISCONNECT = 14;

  private final FakeBroker broker;
  private final Socket socket;
  private final int number;
  private final FakeBroker.Manner manner;
  private int published;
  private volatile boolean subscribed;

  FakeBrokerConnection(FakeBroker broker, Socket socket, int number, FakeBroker.Manner manner) {
    this.broker = broker;
    this.socket = socket;
    this.number = number;
    this.manner = manner;
  }

  /** Reads and answers until one side ends it. */
  void serve() {
    try (socket) {
      if (manner.hangsUp) {
        return;
      }
      DataInputStream in = new DataInputStream(paced(socket.getInputStream()));
      boolean goesOn = true;
      while (goesOn) {
        int head = in.readUnsignedByte();
        byte[] body = new byte[remainingLength(in)];
        in.readFully(body);
        goesOn = manner.silent || take(head, body);
      }
    } catch (IOException e) {
      // the other side went, or we ended it
    } finally {
      broker.ended(this);
    }
  }

  void end() {
    try {
      socket.close();
    } catch (IOException e) {
      // it is of no more use anyway
    }
  }

  /** Sends a message at QoS 0, if anything was subscribed to. */
  void send(String topic, byte[] payload) throws IOException {
    if (!subscribed) {
      return;
    }
    byte[] name = topic.getBytes(StandardCharsets.UTF_8);
    int length = 2 + name.length + payload.length;
    ByteBuffer packet = ByteBuffer.allocate(length + 5).put((byte) (PUBLISH << 4));
    for (int left = length; ; left >>= 7) {
      packet.put((byte) (left > 127 ? (left & 127) | 128 : left));
      if (left <= 127) {
        break;
      }
    }
    packet.putShort((short) name.length).put(name).put(payload);
    byte[] bytes = new byte[packet.flip().remaining()];
    packet.get(bytes);
    write(bytes);
  }

  private boolean take(int head, byte[] body) throws IOException {
    boolean byChance =
        head >> 4 != CONNECT && manner.chance > 0 && manner.random.nextDouble() < manner.chance;
    if (byChance && manner.random.nextBoolean()) {
      return false;
    }
    return answer(head, body) && !byChance;
  }

  private boolean answer(int head, byte[] body) throws IOException {
    return switch (head >> 4) {
      case CONNECT -> welcome();
      case PUBLISH -> publish(head, body);
      case SUBSCRIBE -> subscribe(body);
      case UNSUBSCRIBE -> write(new byte[] {(byte) 0xB0, 2, body[0], body[1]});
      case PINGREQ -> write(new byte[] {(byte) 0xD0, 0});
      case DISCONNECT -> false;
      default -> true;
    };
  }

  private boolean subscribe(byte[] body) throws IOException {
    if (manner.endsAtSubscribe) {
      return false;
    }
    subscribed = manner.granted < 128;
    return write(new byte[] {(byte) 0x90, 3, body[0], body[1], (byte) manner.granted});
  }

  private boolean welcome() throws IOException {
    if (manner.halfAnswer) {
      write(new byte[] {0x20, 0x02});
      return false;
    }
    write(new byte[] {0x20, 0x02, 0x00, (byte) manner.code});
    if (manner.code == 0) {
      later(this::end, manner.life);
    }
    return manner.code == 0;
  }

  private boolean publish(int head, byte[] body) throws IOException {
    ByteBuffer buffer = ByteBuffer.wrap(body);
    byte[] topic = new byte[buffer.getShort() & 0xFFFF];
    buffer.get(topic);
    int quality = head >> 1 & 3;
    byte[] id = {0, 0};
    if (quality > 0) {
      buffer.get(id);
    }
    byte[] payload = new byte[buffer.remaining()];
    buffer.get(payload);
    FakeBroker.Message message =
        new FakeBroker.Message(
            number, new String(topic, StandardCharsets.UTF_8), (head & 1) == 1, payload);
    broker.messages().add(message);
    boolean last = ++published >= manner.lastPublish;
    if (manner.unbearable.test(message) || (last && !acknowledgesLast())) {
      return false;
    }
    if (last && manner.halfAcknowledgement) {
      write(new byte[] {0x40, 2, id[0]});
      return false;
    }
    if (quality > 0 && manner.acknowledges) {
      acknowledge(new byte[] {0x40, 2, id[0], id[1]});
    }
    return !last;
  }

  private boolean acknowledgesLast() {
    return manner.lastAcknowledged || manner.halfAcknowledgement;
  }

  private void acknowledge(byte[] packet) throws IOException {
    if (manner.late.isZero()) {
      writeCopies(packet);
      return;
    }
    later(
        () -> {
          try {
            writeCopies(packet);
          } catch (IOException e) {
            // it has ended in the meantime
          }
        },
        manner.late);
  }

  private void writeCopies(byte[] packet) throws IOException {
    for (int i = 0; i < manner.copies; i++) {
      write(packet);
    }
  }

  /** Writes a packet; the connection goes on. */
  private synchronized boolean write(byte[] bytes) throws IOException {
    OutputStream out = socket.getOutputStream();
    out.write(bytes);
    out.flush();
    return true;
  }

  private void later(Runnable work, Duration wait) {
    try {
      var unused = broker.later().schedule(work, wait.toNanos(), TimeUnit.NANOSECONDS);
    } catch (RejectedExecutionException e) {
      end(); // the broker has been closed
    }
  }

  private InputStream paced(InputStream in) {
    if (manner.bytesPerSecond == Integer.MAX_VALUE) {
      return in;
    }
    return new FilterInputStream(in) {
      @Override
      public int read() throws IOException {
        LockSupport.parkNanos(1_000_000_000L / manner.bytesPerSecond);
        return super.read();
      }

      @Override
      public int read(byte[] bytes, int from, int length) throws IOException {
        // a tenth of a second's worth at most, and the time it takes
        int most = Math.max(1, Math.min(length, manner.bytesPerSecond / 10));
        int count = super.read(bytes, from, most);
        LockSupport.parkNanos(count * 1_000_000_000L / manner.bytesPerSecond);
        return count;
      }
    };
  }

  private static int remainingLength(DataInputStream in) throws IOException {
    int length = 0;
    for (int shift = 0; shift < 28; shift += 7) {
      int digit = in.readUnsignedByte();
      length |= (digit & 127) << shift;
      if (digit < 128) {
        return length;
      }
    }
    throw new IOException("a remaining length of more than four bytes");
  }
}
