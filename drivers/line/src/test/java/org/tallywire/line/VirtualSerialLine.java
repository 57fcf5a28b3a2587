package org.tallywire.line;

import java.io.ByteArrayOutputStream;
import java.util.ArrayList;
import java.util.List;

/**
 * One direction of a serial line in virtual time: ten bit times a byte, and at the far end either
 * the bytes as they come, or a USB adapter that hands them on in packets: when 62 bytes have
 * gathered, or when its latency timer of 16 ms runs out (the defaults that FTDI's application note
 * AN232B-04 describes; from memory).
 */
final class VirtualSerialLine {

  private static final int PACKET = 62;
  private static final long TIMER = 16_000_000;

  private final long byteTime;
  private final boolean packets;
  private final List<Arriving> sent = new ArrayList<>();
  private int taken;
  private long free;
  private long lastHandedOn;

  VirtualSerialLine(int baud, boolean packets) {
    this.byteTime = Math.round(1e10 / baud);
    this.packets = packets;
  }

  private record Arriving(byte value, long at) {}

  void send(byte[] bytes, long now) {
    free = Math.max(free, now);
    for (byte b : bytes) {
      free += byteTime;
      sent.add(new Arriving(b, free));
    }
  }

  /** Tells whether nothing is on its way out any more. */
  boolean isIdle(long now) {
    return free <= now;
  }

  long idleAt() {
    return free;
  }

  long byteTime() {
    return byteTime;
  }

  /** Returns when the far end next has bytes, or Long.MAX_VALUE. */
  long nextDelivery() {
    if (taken == sent.size()) {
      return Long.MAX_VALUE;
    }
    Arriving first = sent.get(taken);
    if (!packets) {
      return first.at();
    }
    long timer = lastHandedOn + TIMER;
    if (timer < first.at()) {
      timer += (first.at() - timer + TIMER - 1) / TIMER * TIMER; // it runs on while idle
    }
    int last = taken + PACKET - 1;
    return last < sent.size() ? Math.min(timer, sent.get(last).at()) : timer;
  }

  /** Returns the bytes that the far end has by now. */
  byte[] take(long now) {
    ByteArrayOutputStream out = new ByteArrayOutputStream();
    long delivery = nextDelivery();
    while (delivery <= now) {
      lastHandedOn = delivery;
      int count = 0;
      while (taken < sent.size()
          && sent.get(taken).at() <= delivery
          && (!packets || count < PACKET)) {
        out.write(sent.get(taken).value());
        taken++;
        count++;
      }
      delivery = nextDelivery();
    }
    return out.toByteArray();
  }
}
