package org.tallywire.meter62056;

import java.math.BigDecimal;
import java.nio.charset.StandardCharsets;
import java.util.List;
import java.util.Map;
import java.util.Optional;
import org.tallywire.api.Example;
import org.tallywire.api.FaultCode;
import org.tallywire.api.Quantity;
import org.tallywire.api.Reading;
import org.tallywire.api.Unit;
import org.tallywire.api.Value;

/**
 * Readouts of an invented meter. The first line of data is an example that public notes on the
 * standard give.
 */
final class MeterExamples {

  private static final String SIGN_ON = "/?!\r\n";
  private static final String ENERGY = "1-0:1.8.1(000581.161*kWh)\r\n";
  private static final String VOLTAGE = "1-0:32.7.0(0230.0*V)\r\n";

  private MeterExamples() {}

  static List<Example> all() {
    return List.of(
        new Example(
            "mode C: the speed is agreed to",
            List.of(
                turn(SIGN_ON, "/XYZ5EXAMPLE\r\n"),
                turn("\u0006050\r\n", message(ENERGY + VOLTAGE, 0x12))),
            List.of(expected(energy(), voltage())),
            Optional.empty()),
        new Example(
            "mode A: the data follows at once",
            List.of(turn(SIGN_ON, "/XYZ EXAMPLE\r\n" + message(ENERGY, 0x67))),
            List.of(expected(energy())),
            Optional.empty()),
        new Example(
            "a register that the meter cannot read, and two in one line",
            List.of(
                turn(SIGN_ON, "/XYZ EXAMPLE\r\n" + checked("32.7.0(ERROR*V)31.7.0(005.21*A)\r\n"))),
            List.of(
                expected(
                    new Value.Missing(new Quantity("voltage-l1"), Unit.VOLT, Value.Reason.INVALID),
                    measured("current-l1", "5.21", "A"))),
            Optional.empty()),
        new Example(
            "a data message with a wrong check character",
            List.of(
                turn(SIGN_ON, "/XYZ5EXAMPLE\r\n"), turn("\u0006050\r\n", message(ENERGY, 0x66))),
            List.of(),
            Optional.of(FaultCode.FRAME_CHECK)));
  }

  private static Example.Expected expected(Value... values) {
    return new Example.Expected(Map.of(), List.of(values), Reading.Status.OK);
  }

  private static Value energy() {
    return measured("active-energy-import-tariff-1", "581.161", "kW.h");
  }

  private static Value voltage() {
    return measured("voltage-l1", "230.0", "V");
  }

  private static Value measured(String quantity, String number, String unit) {
    return new Value.Measured(new Quantity(quantity), new BigDecimal(number), new Unit(unit));
  }

  private static String checked(String lines) {
    byte[] bytes = (lines + "!\r\n\u0003").getBytes(StandardCharsets.US_ASCII);
    return message(lines, BlockCheck.of(bytes, 0, bytes.length));
  }

  private static String message(String lines, int check) {
    return "\u0002" + lines + "!\r\n\u0003" + (char) check;
  }

  private static Example.Turn turn(String asked, String answer) {
    return new Example.Turn(
        asked.getBytes(StandardCharsets.US_ASCII), answer.getBytes(StandardCharsets.US_ASCII));
  }
}
