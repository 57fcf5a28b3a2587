package org.tallywire.simulator.wire;

import java.io.ByteArrayOutputStream;
import java.io.IOException;
import java.nio.charset.StandardCharsets;
import java.util.ArrayDeque;
import java.util.ArrayList;
import java.util.Deque;
import java.util.List;

/** A wire in memory that keeps what is done to it. */
final class RecordingWire implements Wire {

  /** In order: {@code in}, {@code out}, and what was written, one entry a write. */
  final List<String> events = new ArrayList<>();

  final ByteArrayOutputStream written = new ByteArrayOutputStream();
  final Deque<byte[]> toBeRead = new ArrayDeque<>();
  int reads;
  int failingPlugIns;
  private int plugIns;
  private boolean pluggedIn;

  @Override
  public void plugIn() throws IOException {
    if (failingPlugIns > 0) {
      failingPlugIns--;
      throw new IOException("no hole for the plug");
    }
    pluggedIn = true;
    plugIns++;
    events.add("in");
  }

  @Override
  public String address() {
    return "memory " + plugIns;
  }

  @Override
  public boolean attached() {
    return pluggedIn;
  }

  @Override
  public int read(byte[] into, int millis) {
    reads++;
    byte[] next = pluggedIn ? toBeRead.poll() : null;
    if (next == null) {
      return 0;
    }
    System.arraycopy(next, 0, into, 0, next.length);
    return next.length;
  }

  @Override
  public void write(byte[] bytes, int offset, int length) {
    if (!pluggedIn) {
      throw new AssertionError("written though unplugged");
    }
    events.add(new String(bytes, offset, length, StandardCharsets.ISO_8859_1));
    written.write(bytes, offset, length);
  }

  @Override
  public void unplug() {
    pluggedIn = false;
    events.add("out");
  }

  @Override
  public void close() {
    unplug();
  }
}
