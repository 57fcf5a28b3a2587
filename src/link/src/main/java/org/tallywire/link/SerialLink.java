package org.tallywire.link;

import com.fazecast.jSerialComm.SerialPort;
import com.fazecast.jSerialComm.SerialPortInvalidPortException;
import java.nio.file.Path;
import java.time.Duration;
import java.util.Optional;
import java.util.concurrent.CountDownLatch;
import java.util.concurrent.Semaphore;
import java.util.concurrent.TimeUnit;
import java.util.concurrent.atomic.AtomicBoolean;
import java.util.function.Supplier;
import org.slf4j.Logger;
import org.slf4j.LoggerFactory;
import org.tallywire.api.ControlLines;
import org.tallywire.api.FaultCode;
import org.tallywire.api.Link;
import org.tallywire.api.LinkAddress;
import org.tallywire.api.LinkException;

/**
 * A serial port as a link, with a new port object at each opening. Reads in slices of 100 ms (the
 * library's finest), registers no listeners, trusts return codes and the device node rather than
 * the library's idea of "open", and closes on another thread because a close can hang.
 */
final class SerialLink implements Link {

  private static final Logger log = LoggerFactory.getLogger(SerialLink.class);
  private static final int SLICE_MS = 100;
  private static final Duration CLOSE_LIMIT = Duration.ofSeconds(2);
  private static final Duration READER_LIMIT = Duration.ofMillis(500);
  private static final Duration WRITER_SLICE = Duration.ofMillis(50);
  private static final int WRITER_SLICES = 10;
  private static final long LOOK_NANOS = Duration.ofSeconds(1).toNanos();
  private static final int EARLY_SHOWN = 64;
  private static final Duration OUT_LIMIT = Duration.ofSeconds(2);
  private static final Duration OUT_SLICE = Duration.ofMillis(5);

  private final LinkAddress.Serial address;
  private final SerialDevice device;
  private final PortLock lock;
  private final SerialPort port;
  private final BoundedWrite writer;
  private final LineClock line;
  private final AtomicBoolean closed = new AtomicBoolean();
  private final CountDownLatch closing = new CountDownLatch(1);

  /** Held while the library reads: it must not be closed under a read. */
  private final Semaphore reading = new Semaphore(1);

  private long lookedAt = System.nanoTime();

  private SerialLink(
      LinkAddress.Serial address, SerialDevice device, PortLock lock, SerialPort port) {
    this.address = address;
    this.device = device;
    this.lock = lock;
    this.port = port;
    this.writer = new BoundedWrite(address.port());
    this.line = new LineClock(address.settings());
  }

  static SerialLink open(LinkAddress.Serial address, Path lockFolder) throws LinkException {
    Optional<String> objection = SerialParameters.objection(address);
    if (objection.isPresent()) {
      throw new LinkException(
          FaultCode.LINK_REFUSED, "opening %s: %s".formatted(address, objection.get()));
    }
    SerialDevice device = SerialDevice.find(address.port());
    PortLock lock = PortLock.take(device, lockFolder);
    try {
      SerialPorts.refuseHeld(device);
      SerialPort port = SerialLibrary.opening(() -> opened(address, device));
      return new SerialLink(address, device, lock, port);
    } catch (LinkException | RuntimeException e) {
      lock.close();
      throw e;
    }
  }

  private static SerialPort opened(LinkAddress.Serial address, SerialDevice device)
      throws LinkException {
    SerialPort port = port(address, device);
    ControlLines lines = address.lines();
    boolean known = SerialParameters.set(port, address.settings());
    known &= port.setComPortTimeouts(SerialPort.TIMEOUT_READ_SEMI_BLOCKING, SLICE_MS, 0);
    port.setDTRandRTS(lines.dtr(), lines.rts()); // what the library is to set while it opens
    if (!known) {
      throw new LinkException(
          FaultCode.LINK_REFUSED,
          "opening %s: the port does not take these settings".formatted(address));
    }
    if (!port.openPort()) {
      throw SerialPorts.refused(address, device, port.getLastErrorCode());
    }
    boolean set = port.setDTRandRTS(lines.dtr(), lines.rts());
    if (!set && !device.isPseudoTerminal()) {
      log.warn(
          "{}: the system does not let DTR and RTS be set; they stand as it left them",
          address.port());
    }
    return port;
  }

  /** Makes the port of the device itself; made from a link, it would not be asked again. */
  private static SerialPort port(LinkAddress.Serial address, SerialDevice device)
      throws LinkException {
    try {
      return SerialPort.getCommPort(device.path().toString());
    } catch (SerialPortInvalidPortException e) {
      throw new LinkException(
          FaultCode.LINK_NOT_FOUND, "opening %s: there is no such port here".formatted(address), e);
    }
  }

  @Override
  public void settle() throws LinkException {
    long end = System.nanoTime() + address.lines().settle().toNanos();
    byte[] buffer = new byte[4096];
    byte[] first = new byte[EARLY_SHOWN];
    long count = 0;
    while (System.nanoTime() - end < 0) {
      int more = slice(buffer);
      for (int i = 0; i < more && count + i < EARLY_SHOWN; i++) {
        first[(int) count + i] = buffer[i];
      }
      count += more;
    }
    if (count > 0) {
      log.info(
          "{}: {} bytes came while it settled and are no data: {}",
          address.port(),
          count,
          VisibleBytes.of(first, (int) Math.min(count, EARLY_SHOWN)));
    }
  }

  @Override
  public int read(byte[] buffer, Duration wait) throws LinkException {
    long deadline = System.nanoTime() + wait.toNanos();
    do {
      int count = slice(buffer);
      if (count > 0) {
        return count;
      }
    } while (System.nanoTime() - deadline < 0);
    return 0;
  }

  /** Reads once, for 100 ms at most, and looks after the port itself where it gives nothing. */
  private int slice(byte[] buffer) throws LinkException {
    int count = -1;
    if (reading.tryAcquire()) { // else the closer has it, for good
      try {
        count = closed.get() ? -1 : port.readBytes(buffer, buffer.length);
      } finally {
        reading.release();
      }
    }
    if (closed.get()) {
      throw lost("it was closed");
    }
    long now = System.nanoTime();
    if (count <= 0 || now - lookedAt > LOOK_NANOS) {
      lookedAt = now;
      if (count < 0 || !device.isStillThere()) {
        throw lost("the port is gone (unplugged, plugged in again, or switched off)");
      }
    }
    return count;
  }

  private LinkException lost(String why) {
    return new LinkException(FaultCode.LINK_LOST, "reading %s: %s".formatted(address.port(), why));
  }

  @Override
  public void write(byte[] bytes) throws LinkException {
    if (closed.get()) {
      throw new LinkException(
          FaultCode.LINK_LOST, "writing to %s: it is closed".formatted(address.port()));
    }
    writer.run(bytes.length, () -> port.writeBytes(bytes, bytes.length));
    line.written(bytes.length);
  }

  @Override
  public void speed(int baud) throws LinkException {
    awaitOut();
    if (!inLibrary(() -> port.setBaudRate(baud))) {
      throw new LinkException(
          FaultCode.LINK_LOST,
          "setting %s to %d baud: the port does not take that speed"
              .formatted(address.port(), baud));
    }
    line.speed(baud);
  }

  /** Calls the library while the port cannot be closed under it. */
  private <T> T inLibrary(Supplier<T> call) throws LinkException {
    if (reading.tryAcquire()) { // else the closer has it, for good
      try {
        if (!closed.get()) {
          return call.get();
        }
      } finally {
        reading.release();
      }
    }
    throw lost("it was closed");
  }

  /**
   * Waits until what was written is out: by the line's own time, since a USB adapter has a buffer
   * of its own that the system does not see, and by the system's count.
   */
  private void awaitOut() throws LinkException {
    long end = System.nanoTime() + line.busy().plus(OUT_LIMIT).toNanos();
    int left = inLibrary(port::bytesAwaitingWrite);
    while (left > 0 || !line.busy().isZero()) {
      if (System.nanoTime() - end > 0) {
        throw new LinkException(
            FaultCode.LINK_LOST,
            "setting another speed of %s: %d bytes do not go out; is the other side holding them"
                    .formatted(address.port(), left)
                + " back by flow control?");
      }
      if (pause(OUT_SLICE.toNanos())) {
        throw lost("it was closed");
      }
      left = inLibrary(port::bytesAwaitingWrite);
    }
  }

  /** Waits; tells whether the link was closed meanwhile. */
  private boolean pause(long nanos) {
    try {
      return closing.await(nanos, TimeUnit.NANOSECONDS);
    } catch (InterruptedException e) {
      Thread.currentThread().interrupt();
      return true;
    }
  }

  @Override
  public void close() {
    if (!closed.getAndSet(true)) {
      closing.countDown();
      BoundedClose.run(address.port(), CLOSE_LIMIT, this::closeInOrder);
    }
  }

  /**
   * Lets reader and writer come out of the library before the port is closed: they would otherwise
   * go on with a file number that may belong to another file by then.
   */
  private void closeInOrder() {
    try {
      boolean readerOut = reading.tryAcquire(READER_LIMIT.toMillis(), TimeUnit.MILLISECONDS);
      writer.close();
      for (int i = 0; i < WRITER_SLICES && !writer.awaitEnd(WRITER_SLICE); i++) {
        port.flushIOBuffers(); // frees a writer that waits for room
      }
      port.closePort();
      if (!readerOut) {
        reading.acquire();
      }
      boolean writerOut = writer.awaitEnd(CLOSE_LIMIT);
      while (!writerOut) { // as long as it takes: nobody else may have the port till then
        writerOut = writer.awaitEnd(CLOSE_LIMIT);
      }
    } catch (InterruptedException e) {
      Thread.currentThread().interrupt();
    } finally {
      lock.close();
    }
  }
}
