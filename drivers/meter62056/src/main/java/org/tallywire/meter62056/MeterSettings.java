package org.tallywire.meter62056;

import java.time.Duration;
import java.util.List;
import java.util.Map;
import java.util.regex.Pattern;
import org.tallywire.api.DriverDescription.Setting;

/**
 * What a station's configuration says of its meter.
 *
 * @param address of the meter among several, empty if it is alone
 * @param every from readout to readout
 * @param registers which are of interest; empty: all that the table knows
 * @param readout how long a data message may take
 * @param changing whether the speed is changed as the meter proposes
 * @param signOnBaud speed of the sign-on
 * @param letterA speed that the letter A proposes in mode B
 */
record MeterSettings(
    String address,
    Duration every,
    List<Choice> registers,
    Duration readout,
    boolean changing,
    int signOnBaud,
    int letterA) {

  static final List<Setting> KNOWN =
      List.of(
          new Setting("address", "the meter's address where several share a line; - for none", "-"),
          new Setting("every", "seconds from readout to readout, 2 to 86400", "60"),
          new Setting(
              "registers",
              "all that are known here, or those of interest, each CODE, CODE QUANTITY, CODE QUANTITY"
                  + " UNIT or CODE label NAME, for example: 1.8.0, 32.7.0 voltage-l1 V, 0.0.0 label"
                  + " meter",
              "all"),
          new Setting("readout", "seconds that a data message may take, 2 to 3600", "120"),
          new Setting(
              "change-speed",
              "yes, or no where the line stays at one speed, as behind a plain serial server",
              "yes"),
          new Setting("sign-on-baud", "speed of the sign-on, 300 to 19200", "300"),
          new Setting(
              "letter-a",
              "what the letter A proposes in mode B, 600 or 300; accounts of the standard differ",
              "600"));

  private static final Pattern ADDRESS = Pattern.compile("[0-9A-Za-z ]{1,32}");
  private static final Pattern WHOLE = Pattern.compile("[1-9][0-9]{0,5}");

  /**
   * Reads them.
   *
   * @throws IllegalArgumentException with a sentence that says which cannot be so, and why
   */
  static MeterSettings of(Map<String, String> settings) {
    String address = text(settings, "address");
    if (!address.equals("-") && !ADDRESS.matcher(address).matches()) {
      throw new IllegalArgumentException(
          "\"address\" is 1 to 32 letters, digits and blanks, or -, not \"%s\"".formatted(address));
    }
    String registers = text(settings, "registers");
    return new MeterSettings(
        address.equals("-") ? "" : address,
        Duration.ofSeconds(whole(settings, "every", 2, 86_400)),
        registers.equals("all") ? List.of() : Choice.all(registers),
        Duration.ofSeconds(whole(settings, "readout", 2, 3_600)),
        oneOf(settings, "change-speed", "yes", "no").equals("yes"),
        whole(settings, "sign-on-baud", 300, 19_200),
        Integer.parseInt(oneOf(settings, "letter-a", "600", "300")));
  }

  private static int whole(Map<String, String> settings, String name, int least, int most) {
    String written = text(settings, name);
    if (WHOLE.matcher(written).matches()) {
      int number = Integer.parseInt(written);
      if (number >= least && number <= most) {
        return number;
      }
    }
    throw new IllegalArgumentException(
        "\"%s\" is a whole number from %d to %d, not \"%s\"".formatted(name, least, most, written));
  }

  private static String oneOf(Map<String, String> settings, String name, String one, String other) {
    String written = text(settings, name);
    if (!written.equals(one) && !written.equals(other)) {
      throw new IllegalArgumentException(
          "\"%s\" is %s or %s, not \"%s\"".formatted(name, one, other, written));
    }
    return written;
  }

  private static String text(Map<String, String> settings, String name) {
    return settings.getOrDefault(name, "").strip();
  }
}
