package org.tallywire.api;

import java.math.BigDecimal;
import java.nio.file.Path;
import java.time.Duration;
import java.util.List;

/** Where a link leads. */
public sealed interface LinkAddress {

  /**
   * A serial port.
   *
   * @param port a device path such as {@code /dev/serial/by-id/…}, or {@code COM5}
   * @param settings how characters go over it
   * @param lines how the control lines stand while it is open
   */
  record Serial(String port, SerialSettings settings, ControlLines lines) implements LinkAddress {

    /** Returns a port at 8 data bits, no parity, one stop bit, its control lines as usual. */
    public static Serial at(String port, int baud) {
      return new Serial(port, SerialSettings.at(baud), ControlLines.USUAL);
    }

    @Override
    public String toString() {
      return "%s at %s".formatted(port, settings);
    }
  }

  /**
   * A TCP server to connect to.
   *
   * @param host name or address
   * @param port 1 to 65535
   * @param settle how long after the opening what arrives is no data, as of {@link ControlLines}
   */
  record Tcp(String host, int port, Duration settle) implements LinkAddress {

    /** A server behind which nothing has to settle. */
    public Tcp(String host, int port) {
      this(host, port, Duration.ZERO);
    }

    @Override
    public String toString() {
      return "tcp://%s:%d".formatted(host, port);
    }
  }

  /**
   * A TCP port at which an instrument, or a serial server, calls.
   *
   * @param host name or address of an interface of this machine
   * @param port 1 to 65535
   * @param settle how long after a call what arrives is no data, as of {@link ControlLines}
   */
  record TcpListener(String host, int port, Duration settle) implements LinkAddress {

    /** A port for callers behind which nothing has to settle. */
    public TcpListener(String host, int port) {
      this(host, port, Duration.ZERO);
    }

    @Override
    public String toString() {
      return "tcp listener at %s:%d".formatted(host, port);
    }
  }

  /**
   * A serial port that a server on the network lends, with its settings (RFC 2217).
   *
   * @param host name or address
   * @param port 1 to 65535
   * @param settings how characters go over the serial line behind the server
   * @param lines how the control lines stand while it is open
   */
  record NetworkSerial(String host, int port, SerialSettings settings, ControlLines lines)
      implements LinkAddress {

    @Override
    public String toString() {
      return "rfc2217://%s:%d at %s".formatted(host, port, settings);
    }
  }

  /**
   * A program that speaks for an instrument over its standard input and output.
   *
   * @param command the program and its arguments; no shell takes part
   * @param folder it is started in
   */
  record Program(List<String> command, Path folder) implements LinkAddress {

    public Program {
      command = List.copyOf(command);
      if (command.isEmpty()) {
        throw new IllegalArgumentException("a program is at least one word");
      }
    }

    @Override
    public String toString() {
      return "program " + String.join(" ", command);
    }
  }

  /**
   * A recording of what came over a link, played as it came.
   *
   * @param file written by {@code tallywire capture}
   * @param pace how many times faster than it was; 0: as fast as it is read
   */
  record Recording(Path file, BigDecimal pace) implements LinkAddress {

    public Recording {
      if (pace.signum() < 0) {
        throw new IllegalArgumentException("a pace of %s; it is 0 or more".formatted(pace));
      }
    }

    @Override
    public String toString() {
      return "recording " + file;
    }
  }
}
