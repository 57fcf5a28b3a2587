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
 * A serial port of 115200 baud, 8N1, behind a pseudo-terminal: bytes leave no faster than that,
 * nothing waits for a reader, and at another speed both sides hear garbage.
 */
public final class PtyWire implements Wire {

  /** How many files it keeps open. */
  public static final int FILES_EACH = PseudoTerminal.FILES_EACH;

  private static final int BAUD = 115_200;

  /** Time of a byte on the line: start bit, eight bits, stop bit. */
  public static final long NANOS_PER_BYTE = 10 * 1_000_000_000L / BAUD + 1;

  /** As many bytes as a USB adapter sends at once. */
  private static final int PIECE = 64;

  private final Optional<Path> link;
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
    return count == 0 || wrongSpeed(port.baud()) ? 0 : count;
  }

  /** Zero is what a program sets to hang up a modem; it is no speed. */
  private static boolean wrongSpeed(int baud) {
    return baud != BAUD && baud != 0;
  }

  @Override
  public void write(byte[] bytes, int offset, int length) throws IOException {
    PseudoTerminal port = terminal;
    if (port == null) {
      return;
    }
    int baud = port.baud();
    byte[] sent = Arrays.copyOfRange(bytes, offset, offset + length);
    byte[] heard = wrongSpeed(baud) ? WrongSpeed.heard(sent, BAUD, baud) : sent;
    long nanosPerByte = heard.length == 0 ? 0 : NANOS_PER_BYTE * sent.length / heard.length;
    for (int from = 0; from < heard.length; from += PIECE) {
      int piece = Math.min(PIECE, heard.length - from);
      waitUntilFree(piece * nanosPerByte);
      port.write(heard, from, piece);
    }
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
