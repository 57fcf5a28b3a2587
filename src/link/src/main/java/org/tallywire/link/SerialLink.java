package org.tallywire.link;

import com.fazecast.jSerialComm.SerialPort;
import com.fazecast.jSerialComm.SerialPortInvalidPortException;
import java.time.Duration;
import java.util.concurrent.atomic.AtomicBoolean;
import org.slf4j.Logger;
import org.slf4j.LoggerFactory;
import org.tallywire.api.FaultCode;
import org.tallywire.api.Link;
import org.tallywire.api.LinkAddress;
import org.tallywire.api.LinkException;

/**
 * A serial port as a link. Reads in slices of 100 ms (the library's finest), registers no
 * listeners, trusts return codes and the device node rather than the library's idea of "open", and
 * closes on another thread because a close can hang.
 */
final class SerialLink implements Link {

  private static final Logger log = LoggerFactory.getLogger(SerialLink.class);
  private static final int SLICE_MS = 100;
  private static final Duration CLOSE_LIMIT = Duration.ofSeconds(2);

  private final LinkAddress.Serial address;
  private final SerialPort port;
  private final BoundedWrite writer;
  private final AtomicBoolean closed = new AtomicBoolean();

  private SerialLink(LinkAddress.Serial address, SerialPort port) {
    this.address = address;
    this.port = port;
    this.writer = new BoundedWrite(address.port());
  }

  private static SerialPort port(LinkAddress.Serial address) throws LinkException {
    try {
      return SerialPort.getCommPort(address.port());
    } catch (SerialPortInvalidPortException e) {
      throw new LinkException(
          FaultCode.LINK_NOT_FOUND, "opening %s: there is no such port here".formatted(address), e);
    }
  }

  static SerialLink open(LinkAddress.Serial address) throws LinkException {
    SerialPorts.check(address.port());
    SerialPort port = port(address);
    boolean known =
        port.setComPortParameters(
            address.baud(), address.dataBits(), address.stopBits(), parity(address.parity()));
    port.setFlowControl(SerialPort.FLOW_CONTROL_DISABLED);
    known &= port.setComPortTimeouts(SerialPort.TIMEOUT_READ_SEMI_BLOCKING, SLICE_MS, 0);
    if (!known) {
      throw new LinkException(
          FaultCode.LINK_REFUSED,
          "opening %s: the port does not take these settings".formatted(address));
    }
    if (!port.openPort()) {
      throw SerialPorts.refused(address, port.getLastErrorCode());
    }
    return new SerialLink(address, port);
  }

  @Override
  public int read(byte[] buffer, Duration wait) throws LinkException {
    long deadline = System.nanoTime() + wait.toNanos();
    do {
      int count = closed.get() ? -1 : port.readBytes(buffer, buffer.length);
      if (count > 0) {
        return count;
      }
      if (count < 0 || !SerialPorts.exists(address.port())) {
        throw new LinkException(
            FaultCode.LINK_LOST,
            "reading %s: the port is gone (unplugged, or switched off)".formatted(address.port()));
      }
    } while (System.nanoTime() < deadline);
    return 0;
  }

  @Override
  public void write(byte[] bytes) throws LinkException {
    if (closed.get()) {
      throw new LinkException(
          FaultCode.LINK_LOST, "writing to %s: it is closed".formatted(address.port()));
    }
    writer.run(bytes.length, () -> port.writeBytes(bytes, bytes.length));
  }

  @Override
  public void close() {
    if (closed.getAndSet(true)) {
      return;
    }
    Thread closer = new Thread(port::closePort, "close " + address.port());
    closer.setDaemon(true);
    closer.start();
    try {
      closer.join(CLOSE_LIMIT.toMillis());
      if (closer.isAlive()) {
        log.warn("closing {}: not done within {}; left behind", address.port(), CLOSE_LIMIT);
      }
    } catch (InterruptedException e) {
      Thread.currentThread().interrupt();
    }
    writer.close();
  }

  private static int parity(LinkAddress.Parity parity) {
    return switch (parity) {
      case NONE -> SerialPort.NO_PARITY;
      case EVEN -> SerialPort.EVEN_PARITY;
      case ODD -> SerialPort.ODD_PARITY;
    };
  }
}
