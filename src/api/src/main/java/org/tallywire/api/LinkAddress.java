package org.tallywire.api;

/** Where a link leads. */
public sealed interface LinkAddress {

  /**
   * A serial port.
   *
   * @param port a device path such as {@code /dev/serial/by-id/…}, or {@code COM5}
   * @param baud bits per second
   * @param dataBits 7 or 8
   * @param parity of each character
   * @param stopBits 1 or 2
   * @param lines how the control lines stand while it is open
   */
  record Serial(
      String port, int baud, int dataBits, Parity parity, int stopBits, ControlLines lines)
      implements LinkAddress {

    /** A port with its control lines as usual. */
    public Serial(String port, int baud, int dataBits, Parity parity, int stopBits) {
      this(port, baud, dataBits, parity, stopBits, ControlLines.USUAL);
    }

    /** Returns a port at 8 data bits, no parity, one stop bit. */
    public static Serial at(String port, int baud) {
      return new Serial(port, baud, 8, Parity.NONE, 1);
    }

    @Override
    public String toString() {
      return "%s at %d baud, %d%s%d".formatted(port, baud, dataBits, parity.letter(), stopBits);
    }
  }

  /**
   * A TCP server to connect to.
   *
   * @param host name or address
   * @param port 1 to 65535
   */
  record Tcp(String host, int port) implements LinkAddress {

    @Override
    public String toString() {
      return "tcp://%s:%d".formatted(host, port);
    }
  }

  /** The parity bit of a character. */
  enum Parity {
    NONE,
    EVEN,
    ODD;

    /** Returns N, E or O, as in 8N1. */
    public char letter() {
      return name().charAt(0);
    }
  }
}
