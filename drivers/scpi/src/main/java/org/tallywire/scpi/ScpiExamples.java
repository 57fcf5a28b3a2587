package org.tallywire.scpi;

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

/** An invented ratio meter: number, ratio, excitation current in A, phase, status. */
final class ScpiExamples {

  static final Map<String, String> SETTINGS =
      Map.of(
          "query", "FETCh?",
          "fields",
              "number, turns-ratio 1, excitation-current mA times 1000 optional, label phase,"
                  + " status",
          "missed", "DATA:STORed? {number}",
          "every", "1",
          "answer", "3",
          "repeats", "drop",
          "end", "lf");

  private static final Example.Turn IDENTITY = turn("*IDN?", "Example,RM-2,0042,1.3");
  private static final Example.Turn QUIET = turn("*ESR?", "0");

  private ScpiExamples() {}

  static List<Example> all() {
    return List.of(
        new Example(
            "a ratio as NR3, its current as NR2",
            List.of(IDENTITY, QUIET, turn("FETCh?", "1,+2.54020E+01,0.00731,\"A\",OK")),
            List.of(
                expected(
                    new Value.Measured(Quantity.TURNS_RATIO, new BigDecimal("25.4020"), Unit.ONE),
                    new Value.Measured(
                        Quantity.EXCITATION_CURRENT,
                        new BigDecimal("7.31000"),
                        new Unit("mA"),
                        Optional.of(new BigDecimal("1000"))))),
            Optional.empty()),
        new Example(
            "an error in its queue",
            List.of(IDENTITY, turn("*ESR?", "32"), turn("SYST:ERR?", "-113,\"Undefined header\"")),
            List.of(),
            Optional.of(FaultCode.INSTRUMENT_ERROR)),
        new Example(
            "an answer with an element too few",
            List.of(IDENTITY, QUIET, turn("FETCh?", "1,+2.54020E+01,0.00731,\"A\"")),
            List.of(),
            Optional.of(FaultCode.FRAME_SYNTAX)));
  }

  private static Example.Expected expected(Value... values) {
    return new Example.Expected(Map.of("phase", "A"), List.of(values), Reading.Status.OK);
  }

  private static Example.Turn turn(String asked, String answer) {
    return new Example.Turn(
        (asked + "\n").getBytes(StandardCharsets.US_ASCII),
        (answer + "\n").getBytes(StandardCharsets.US_ASCII));
  }
}
