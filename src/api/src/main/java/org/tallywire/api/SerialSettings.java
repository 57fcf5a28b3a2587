package org.tallywire.api;

import java.time.Duration;

/**
 * How characters go over a serial line.
 *
 * @param baud bits per second, 50 to 4 000 000
 * @param dataBits 5 to 8
 * @param parity of each character
 * @param stopBits after each character
 * @param flow how a side says that it cannot take more
 */
public record SerialSettings(
    int baud, int dataBits, Parity parity, StopBits stopBits, FlowControl flow) {

  private static final int SLOWEST = 50;
  private static final int FASTEST = 4_000_000;
  private static final int START_BIT = 1;
  private static final long NANOS = 1_000_000_000L;

  public SerialSettings {
    if (baud < SLOWEST || baud > FASTEST) {
      throw new IllegalArgumentException(
          "a speed of %d baud; it is %d to %d".formatted(baud, SLOWEST, FASTEST));
    }
    if (dataBits < 5 || dataBits > 8) {
      throw new IllegalArgumentException("%d data bits; there are 5 to 8".formatted(dataBits));
    }
  }

  /** Returns 8 data bits, no parity, one stop bit, no flow control, at that speed. */
  public static SerialSettings at(int baud) {
    return new SerialSettings(baud, 8, Parity.NONE, StopBits.ONE, FlowControl.NONE);
  }

  /** Returns the same at another speed. */
  public SerialSettings withBaud(int other) {
    return new SerialSettings(other, dataBits, parity, stopBits, flow);
  }

  /** Returns how long so many characters take, start, parity and stop bits included. */
  public Duration time(int characters) {
    int parityBit = parity == Parity.NONE ? 0 : 1;
    int halves = 2 * (START_BIT + dataBits + parityBit) + stopBits.halves;
    return Duration.ofNanos((long) characters * halves * NANOS / 2 / baud);
  }

  /** Returns it as people write it, for example {@code 9600 baud, 7E1}. */
  @Override
  public String toString() {
    String line = "%d baud, %d%s%s".formatted(baud, dataBits, parity.letter(), stopBits);
    return flow == FlowControl.NONE ? line : line + ", flow control " + flow.word();
  }

  /** The parity bit of a character. */
  public enum Parity {
    NONE,
    EVEN,
    ODD,
    /** Always one. */
    MARK,
    /** Always zero. */
    SPACE;

    /** Returns N, E, O, M or S, as in 8N1. */
    public char letter() {
      return name().charAt(0);
    }
  }

  /** The pause after a character, in bits. */
  public enum StopBits {
    ONE(2, "1"),
    ONE_AND_A_HALF(3, "1.5"),
    TWO(4, "2");

    private final int halves;
    private final String text;

    StopBits(int halves, String text) {
      this.halves = halves;
      this.text = text;
    }

    /** Returns the number, for example {@code 1.5}. */
    @Override
    public String toString() {
      return text;
    }
  }

  /** How a side says that it cannot take more. */
  public enum FlowControl {
    NONE("none"),
    /** By the lines RTS and CTS. */
    RTS_CTS("rts-cts"),
    /** By the lines DTR and DSR. */
    DTR_DSR("dtr-dsr"),
    /** By the characters XON (11 hex) and XOFF (13 hex), which then cannot be sent otherwise. */
    XON_XOFF("xon-xoff");

    private final String word;

    FlowControl(String word) {
      this.word = word;
    }

    /** Returns the word for it in a configuration. */
    public String word() {
      return word;
    }
  }
}
