package org.tallywire.simulator.wire;

import java.util.Locale;
import java.util.regex.Matcher;
import java.util.regex.Pattern;

/**
 * A serial port and how it is set, without flow control.
 *
 * @param port path or name of the port, for example {@code /dev/ttyUSB0} or {@code COM3}
 * @param baud 50 to 4000000
 * @param dataBits 5 to 8
 * @param stopBits 1 or 2
 */
public record SerialSettings(String port, int baud, int dataBits, Parity parity, int stopBits) {

  private static final int LEAST_BAUD = 50;
  private static final int MOST_BAUD = 4_000_000;
  private static final int LEAST_DATA_BITS = 5;
  private static final int MOST_DATA_BITS = 8;
  private static final Pattern SHORT_FORM = Pattern.compile("([5-8])([NEO])([12])");

  /** The bit that makes the ones of a byte even or odd in number. */
  public enum Parity {
    NONE,
    EVEN,
    ODD
  }

  /**
   * Checks the ranges.
   *
   * @throws IllegalArgumentException with a sentence
   */
  public SerialSettings {
    require(!port.isBlank(), "a serial port needs a name");
    require(
        baud >= LEAST_BAUD && baud <= MOST_BAUD,
        "%d baud is not between %d and %d".formatted(baud, LEAST_BAUD, MOST_BAUD));
    require(
        dataBits >= LEAST_DATA_BITS && dataBits <= MOST_DATA_BITS,
        "%d data bits are not between 5 and 8".formatted(dataBits));
    require(stopBits == 1 || stopBits == 2, "%d stop bits are not 1 or 2".formatted(stopBits));
  }

  /**
   * Reads the usual short form of data bits, parity and stop bits, for example {@code 8N1}.
   *
   * @throws IllegalArgumentException with a sentence
   */
  public static SerialSettings of(String port, int baud, String form) {
    Matcher matcher = SHORT_FORM.matcher(form.toUpperCase(Locale.ROOT));
    require(
        matcher.matches(),
        "\"%s\" is not like 8N1: data bits 5 to 8, parity N, E or O, stop bits 1 or 2"
            .formatted(form));
    Parity parity =
        switch (matcher.group(2)) {
          case "E" -> Parity.EVEN;
          case "O" -> Parity.ODD;
          default -> Parity.NONE;
        };
    return new SerialSettings(
        port, baud, Integer.parseInt(matcher.group(1)), parity, Integer.parseInt(matcher.group(3)));
  }

  private static void require(boolean right, String sentence) {
    if (!right) {
      throw new IllegalArgumentException(sentence);
    }
  }

  /** Returns for example {@code /dev/ttyUSB0 at 115200 baud, 8N1}. */
  @Override
  public String toString() {
    return "%s at %d baud, %d%c%d"
        .formatted(port, baud, dataBits, parity.name().charAt(0), stopBits);
  }
}
