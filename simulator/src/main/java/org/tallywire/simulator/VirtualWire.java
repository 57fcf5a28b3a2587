package org.tallywire.simulator;

import java.io.IOException;
import java.io.OutputStream;
import java.util.Arrays;
import java.util.function.LongSupplier;
import org.tallywire.simulator.wire.PtyWire;
import org.tallywire.simulator.wire.Wire;

/**
 * A line of 115200 baud in virtual time: sending and waiting move its clock on instead of taking
 * time. What is sent goes to a stream, and to a listener who answers at once.
 */
final class VirtualWire implements Wire, LongSupplier {

  private static final long NANOS_PER_MILLI = 1_000_000;

  private final OutputStream sent;
  private final Listener listener;
  private byte[] answers = {};
  private boolean plugged;
  private long saidAt;
  private long now;

  VirtualWire(OutputStream sent, Listener listener) {
    this.sent = sent;
    this.listener = listener;
  }

  /** Returns the virtual time in nanoseconds. */
  @Override
  public long getAsLong() {
    return now;
  }

  @Override
  public void plugIn() {
    plugged = true;
    answers = listener.opened();
  }

  @Override
  public String address() {
    return "nobody";
  }

  @Override
  public boolean attached() {
    return plugged;
  }

  @Override
  public int read(byte[] into, int millis) {
    if (!plugged || answers.length == 0) {
      pass(millis);
      return 0;
    }
    int count = Math.min(into.length, answers.length);
    System.arraycopy(answers, 0, into, 0, count);
    answers = Arrays.copyOfRange(answers, count, answers.length);
    now += count * PtyWire.NANOS_PER_BYTE;
    return count;
  }

  @Override
  public void pass(int millis) {
    now += millis * NANOS_PER_MILLI;
    if (plugged && now - saidAt > listener.patience().toNanos()) {
      saidAt = now;
      answers = listener.silent();
    }
  }

  @Override
  public void write(byte[] bytes, int offset, int length) throws IOException {
    now += length * PtyWire.NANOS_PER_BYTE;
    saidAt = now;
    sent.write(bytes, offset, length);
    byte[] more = listener.heard(Arrays.copyOfRange(bytes, offset, offset + length));
    byte[] all = Arrays.copyOf(answers, answers.length + more.length);
    System.arraycopy(more, 0, all, answers.length, more.length);
    answers = all;
  }

  @Override
  public void unplug() {
    plugged = false;
    answers = new byte[0];
  }

  @Override
  public void close() {
    unplug();
  }
}
