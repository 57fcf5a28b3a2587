package org.example.thermometer;

import java.math.BigDecimal;
import java.nio.charset.StandardCharsets;
import java.time.Duration;
import java.util.List;
import java.util.Map;
import java.util.Optional;
import org.tallywire.api.Driver;
import org.tallywire.api.DriverDescription;
import org.tallywire.api.DriverDescription.Setting;
import org.tallywire.api.Example;
import org.tallywire.api.FaultCode;
import org.tallywire.api.Framer;
import org.tallywire.api.Quantity;
import org.tallywire.api.Reading;
import org.tallywire.api.Session;
import org.tallywire.api.SessionHost;
import org.tallywire.api.TextLines;
import org.tallywire.api.Unit;
import org.tallywire.api.Value;

/**
 * An invented thermometer that sits on a winding. It answers {@code I?} with its name and serial
 * number and {@code T?} with a temperature, and says nothing unless it is asked.
 */
final class ThermometerDriver implements Driver {

  static final int USUAL_INTERVAL = 10;
  private static final int LONGEST_LINE = 40;

  private final int interval;

  /**
   * @param interval seconds from question to question
   */
  ThermometerDriver(int interval) {
    this.interval = interval;
  }

  @Override
  public DriverDescription description() {
    return new DriverDescription("thermometer", "1.0", "an invented winding thermometer", 9_600)
        .withSettings(
            new Setting("every", "seconds from question to question, 1 to 999", "10"));
  }

  @Override
  public Driver configured(Map<String, String> settings) {
    String every = String.valueOf(settings.get("every"));
    if (!every.matches("[1-9][0-9]{0,2}")) {
      throw new IllegalArgumentException(
          "\"every\" is whole seconds, 1 to 999, not \"%s\"".formatted(every));
    }
    return new ThermometerDriver(Integer.parseInt(every));
  }

  @Override
  public Framer newFramer() {
    return new TextLines(LONGEST_LINE);
  }

  @Override
  public Session open(SessionHost host) {
    return new ThermometerSession(host, Duration.ofSeconds(interval));
  }

  @Override
  public List<Example> examples() {
    Example.Turn identity = turn("I?\r\n", "THERMO TH-1,0042\r\n");
    return List.of(
        new Example(
            "a temperature",
            List.of(identity, turn("T?\r\n", "+23.40 C\r\n")),
            List.of(
                new Example.Expected(
                    Map.of("test", "winding-temperature"),
                    List.of(
                        new Value.Measured(
                            Quantity.WINDING_TEMPERATURE, new BigDecimal("23.40"), Unit.CELSIUS)),
                    Reading.Status.OK)),
            Optional.empty()),
        new Example(
            "a broken sensor",
            List.of(identity, turn("T?\r\n", "------ C\r\n")),
            List.of(
                new Example.Expected(
                    Map.of("test", "winding-temperature"),
                    List.of(
                        new Value.Missing(
                            Quantity.WINDING_TEMPERATURE, Unit.CELSIUS, Value.Reason.OPEN)),
                    Reading.Status.OK)),
            Optional.empty()),
        new Example(
            "an answer that is none",
            List.of(identity, turn("T?\r\n", "BUSY\r\n")),
            List.of(),
            Optional.of(FaultCode.FRAME_SYNTAX)));
  }

  private static Example.Turn turn(String asked, String answer) {
    return new Example.Turn(
        asked.getBytes(StandardCharsets.US_ASCII), answer.getBytes(StandardCharsets.US_ASCII));
  }
}
