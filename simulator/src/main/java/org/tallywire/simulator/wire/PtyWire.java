package org.tallywire.simulator.wire;

import java.io.IOException;
import java.nio.file.Files;
import java.nio.file.LinkOption;
import java.nio.file.Path;
import java.nio.file.StandardCopyOption;
import java.util.Arrays;
import java.util.Optional;
import java.util.concurrent.locks.LockSupport;
import org.jspecify.annotations.Nullable;

/**
 * A serial port of 115200 baud, 8N1, unless it is set to another speed, behind a pseudo-terminal:
 * bytes leave no faster than that, nothing waits for a reader, and at another speed both sides hear
 * garbage. A parity bit cannot be seen there.
 */
public final class PtyWire implements Wire {

  /** How many files it keeps open. */
  public static final int FILES_EACH = PseudoTerminal.FILES_EACH;

  private static final int BAUD = 115_200;

  private static final int BITS = 10;

  /** Time of a byte at the usual speed: start bit, eight bits, stop bit. */
  public static final long NANOS_PER_BYTE = nanos(1, BAUD);

  /** As many bytes as a USB adapter sends at once. */
  private static final int PIECE = 64;

  /** At a slow speed bytes are not held back for longer than this. */
  private static final int PIECES_PER_SECOND = 50;

  private final Optional<Path> link;
  private int speed = BAUD;
  private @Nullable PseudoTerminal terminal;
  private String path = "";
  private long freeAt = System.nanoTime();

  /**
   * A port that is not open yet.
   *
   * @param link a symbolic link that shall always lead to the port while it is plugged in
   */
  public PtyWire(Optional<Path> link) {
    this.link = link;
  }

  @Override
  public void plugIn() throws IOException {
    PseudoTerminal opened = PseudoTerminal.open();
    try {
      path = opened.path();
      pointLink(Path.of(path));
    } catch (IOException failed) {
      opened.close();
      throw failed;
    }
    terminal = opened;
  }

  private void pointLink(Path target) throws IOException {
    if (link.isEmpty()) {
      return;
    }
    Path place = link.get();
    if (Files.exists(place, LinkOption.NOFOLLOW_LINKS) && !Files.isSymbolicLink(place)) {
      throw new IOException(
          "%s is to become a symbolic link to %s, but something else stands there; it is left alone"
              .formatted(place, target));
    }
    Path next = place.resolveSibling(place.getFileName() + ".next");
    Files.deleteIfExists(next);
    Files.createSymbolicLink(next, target);
    Files.move(next, place, StandardCopyOption.ATOMIC_MOVE);
  }

  @Override
  public String address() {
    return "pty " + path;
  }

  @Override
  public boolean attached() {
    return terminal != null;
  }

  @Override
  public int read(byte[] into, int millis) throws IOException {
    PseudoTerminal port = terminal;
    if (port == null) {
      pass(millis);
      return 0;
    }
    int count = port.read(into, millis);
    if (count == 0 || wrongSpeed(port.baud())) {
      return 0;
    }
    if (speed != BAUD) {
      LockSupport.parkNanos(nanos(count)); // they come at once here, and one by one over a line
    }
    return count;
  }

  @Override
  public void speed(int baud) {
    speed = baud;
  }

  /** Zero is what a program sets to hang up a modem; it is no speed. */
  private boolean wrongSpeed(int baud) {
    return baud != speed && baud != 0;
  }

  @Override
  public void write(byte[] bytes, int offset, int length) throws IOException {
    PseudoTerminal port = terminal;
    if (port == null) {
      return;
    }
    int baud = port.baud();
    byte[] sent = Arrays.copyOfRange(bytes, offset, offset + length);
    byte[] heard = wrongSpeed(baud) ? WrongSpeed.heard(sent, speed, baud) : sent;
    long nanosPerByte = heard.length == 0 ? 0 : nanos(sent.length) / heard.length;
    int most = Math.max(1, Math.min(PIECE, speed / (BITS * PIECES_PER_SECOND)));
    for (int from = 0; from < heard.length; from += most) {
      int piece = Math.min(most, heard.length - from);
      waitUntilFree(piece * nanosPerByte);
      port.write(heard, from, piece);
    }
  }

  private long nanos(int bytes) {
    return bytes * nanos(1, speed);
  }

  private static long nanos(int bytes, int baud) {
    return bytes * (BITS * 1_000_000_000L / baud + 1);
  }

  /** The line is busy for so long with the next bytes; they arrive when it is through. */
  private void waitUntilFree(long nanos) {
    freeAt = Math.max(freeAt, System.nanoTime()) + nanos;
    long left = freeAt - System.nanoTime();
    while (left > 0 && !Thread.currentThread().isInterrupted()) {
      LockSupport.parkNanos(left);
      left = freeAt - System.nanoTime();
    }
  }

  @Override
  public void unplug() {
    PseudoTerminal port = terminal;
    terminal = null;
    if (port == null) {
      return;
    }
    removeLink();
    port.close();
  }

  private void removeLink() {
    try {
      if (link.isPresent()
          && Files.isSymbolicLink(link.get())
          && Files.readSymbolicLink(link.get()).equals(Path.of(path))) {
        Files.delete(link.get());
      }
    } catch (IOException failed) {
      System.err.printf("the link %s could not be removed: %s%n", link.get(), failed);
    }
  }

  @Override
  public void close() {
    unplug();
  }
}
