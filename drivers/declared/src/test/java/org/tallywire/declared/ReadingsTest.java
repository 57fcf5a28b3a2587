package org.tallywire.declared;

import static org.junit.jupiter.api.Assertions.assertEquals;
import static org.junit.jupiter.api.Assertions.assertFalse;
import static org.junit.jupiter.api.Assertions.assertTrue;

import java.util.List;
import org.junit.jupiter.api.DisplayName;
import org.junit.jupiter.api.Test;
import org.tallywire.api.FaultCode;
import org.tallywire.api.Reading;
import org.tallywire.kit.DriverCheck;
import org.tallywire.kit.DriverReport;
import org.tallywire.kit.DriverRule;

/** How fields become values and a status, and what examples say of them. */
final class ReadingsTest {

  private static final String FLAGS =
      """
      driver: flags
      version: 1
      about: a meter with a status in hexadecimal, and two ways to write numbers
      rules:
        - separated: {by: ";", fields: [volts, celsius, flags]}
          reading:
            values:
              - {quantity: test-voltage, from: volts, unit: V, numbers: {decimal: ","}}
              - {quantity: winding-temperature, from: celsius, unit: Cel}
            status: {from: flags, bits: {0: not-settled, 1: suspect, 3: aborted, 7: ok}}
      """;

  private static Played played(String... lines) throws Exception {
    Played played = Played.of(FLAGS);
    played.arrives("\r\n");
    for (String line : lines) {
      played.arrives(line + "\r\n");
    }
    return played;
  }

  @Test
  @DisplayName("DRV-18: of the bits that are set the worst counts; none is ok")
  void bits() throws Exception {
    Played played =
        played("1,5;21.5;00", "1,5;21.5;80", "1,5;21.5;0x83", "1,5;21.5;1", "1,5;21.5;0b");
    assertEquals(
        List.of("ok", "ok", "suspect", "not-settled", "aborted"),
        played.host.readings().stream().map(r -> r.status().word()).toList());
    assertEquals(List.of(), played.faults);
  }

  @Test
  @DisplayName("DRV-18: a bit that the file does not name, or what is not hexadecimal, is a fault")
  void unknownBit() throws Exception {
    Played played = played("1,5;21.5;84", "1,5;21.5;OK", "1,5;21.5;", "1,5;21.5;123456789");
    assertEquals(List.of(), played.host.readings());
    assertEquals(4, played.faults.size());
    String told = String.valueOf(played.faults.get(0).getMessage());
    assertTrue(told.contains("\"84\", where bit 2 is set"), told);
    assertTrue(
        String.valueOf(played.faults.get(1).getMessage()).contains("no hexadecimal number"), told);
  }

  @Test
  @DisplayName("DRV-18: bits named by their masks are the bits that a manual means")
  void masks() throws Exception {
    DeclaredDriver driver =
        DeclaredFile.parse(
            "masks",
            FLAGS.replace(
                "{0: not-settled, 1: suspect, 3: aborted, 7: ok}",
                "{0x01: ok, 0x02: suspect, \"0x04\": aborted, 0x10: ok}"));
    Played played = new Played(driver);
    played.arrives("\r\n1,5;21.5;11\r\n1,5;21.5;02\r\n1,5;21.5;16\r\n1,5;21.5;08\r\n");
    assertEquals(
        List.of("ok", "suspect", "aborted"),
        played.host.readings().stream().map(r -> r.status().word()).toList());
    assertEquals(1, played.faults.size(), "08 is not named");
    assertEquals(
        List.of(
            "flags: bit 0, mask 0x01: ok",
            "flags: bit 1, mask 0x02: suspect",
            "flags: bit 2, mask 0x04: aborted",
            "flags: bit 4, mask 0x10: ok"),
        driver.bitsInWords());
  }

  private static final String PHASES =
      """
      driver: phases
      version: 1
      about: a meter that measures two phases at once
      rules:
        - separated: {by: ";", fields: [a, b]}
          readings:
            - values: [{quantity: turns-ratio, from: a, unit: 1, dropped: ["-"]}]
              labels: {phase: A}
            - values: [{quantity: turns-ratio, from: b, unit: 1, dropped: ["-"]}]
              labels: {phase: B}
      """;

  @Test
  @DisplayName("DRV-19: of the readings of a line one without a value is left out, not the others")
  void leftOut() throws Exception {
    Played played = Played.of(PHASES);
    played.arrives("\r\n1.5;1.6\r\n1.5;-\r\n-;1.6\r\n-;-\r\n");
    assertEquals(
        List.of("A 0", "B 1", "A 0", "B 0"),
        played.host.readings().stream()
            .map(r -> r.labels().get("phase") + " " + r.part())
            .toList());
    assertEquals(List.of(FaultCode.FRAME_SYNTAX), played.faultCodes(), "of the last line alone");
    assertTrue(
        String.valueOf(played.faults.get(0).getMessage()).contains("has no value"),
        played.faults.toString());
  }

  @Test
  @DisplayName("DRV-15: a value's own numbers take the place of the file's")
  void numbersOfOneValue() throws Exception {
    Played played = played("1,50;21.5;0", "1.50;21.5;0", "1,50;21,5;0");
    assertEquals(1, played.host.readings().size());
    Reading reading = played.host.readings().get(0);
    assertTrue(reading.values().toString().contains("1.50"), reading.toString());
    assertEquals(List.of(FaultCode.FRAME_SYNTAX, FaultCode.FRAME_SYNTAX), played.faultCodes());
    assertEquals(
        "the line (rule 1) has in volts \"1.50\", which is no number of at most 32 characters and no"
            + " word of the file: here \",\" is the decimal mark and nothing stands between"
            + " thousands; numbers: {decimal: \".\"} makes it 1.50: write it at the top of the file, or with"
            + " this value",
        played.faults.get(0).getMessage());
    assertEquals(
        "the line (rule 1) has in celsius \"21,5\", which is no number of at most 32 characters and"
            + " no word of the file: here \".\" is the decimal mark and nothing stands between"
            + " thousands; numbers: {decimal: \",\"} makes it 21.5: write it at the top of the file,"
            + " or with this value",
        played.faults.get(1).getMessage());
  }

  @Test
  @DisplayName("no number under any marks: the file is to say what the text stands for")
  void noNumber() throws Exception {
    String told = String.valueOf(played("--,-;21.5;0").faults.get(0).getMessage());
    assertTrue(
        told.endsWith("What stands where no number can is written under words: {\"--,-\": open}"),
        told);
  }

  private static final String OHMS =
      """
      driver: ohms
      version: 1
      about: a meter whose ohms are thousandths, that says OL in a line of its own kind
      rules:
        - match: "(?<v>[0-9.]+) mOHM"
          reading:
            values: [{quantity: winding-resistance, from: v, unit: Ohm, factor: 0.001}]
        - match: "(?<v>OL)"
          reading:
            values: [{quantity: winding-resistance, from: v, unit: Ohm, words: {OL: open}}]
        - {match: "VERSION .*", ignore: true}
      examples:
        - name: a resistance
          turns: [{sent: "423.170 mOHM\\r\\nOL\\r\\n"}]
          gives:
            - values: {winding-resistance: 0.423170 Ohm}
            - values: {winding-resistance: open Ohm}
        - name: it says its version
          turns: [{sent: "VERSION 1.0\\r\\n"}]
          gives: []
      """;

  @Test
  @DisplayName("a rule of words alone needs no factor; an example may give nothing")
  void wordsAloneAndNothing() throws Exception {
    DriverReport report = DriverCheck.of(DeclaredFile.parse("ohms.yaml", OHMS), 1);
    assertTrue(report.isSound(), report.lines().toString());
    String gives = OHMS.replace("gives: []", "gives: [{values: {winding-resistance: 1.0 Ohm}}]");
    assertFalse(DriverCheck.of(DeclaredFile.parse("ohms.yaml", gives), 1).isSound());
    String nothing = OHMS.replace("VERSION 1.0\\r\\n", "1.0 mOHM\\r\\n");
    assertFalse(DriverCheck.of(DeclaredFile.parse("ohms.yaml", nothing), 1).isSound());
  }

  @Test
  @DisplayName("an example that lacks digits is told which number to write")
  void digits() throws Exception {
    String fewer = OHMS.replace("0.423170 Ohm", "0.42317 Ohm");
    DriverReport report = DriverCheck.of(DeclaredFile.parse("ohms.yaml", fewer), 1);
    String told = report.sentences(DriverRule.WHOLE).toString();
    assertTrue(told.contains("a factor applied: write 0.423170 for 0.42317"), told);
  }

  private static final String COUNTED =
      """
      driver: counted
      version: 1
      about: a meter that numbers its readings
      rules:
        - separated: {by: ";", fields: [n, v]}
          count: {from: n, first: 1, last: 99}
          reading: {values: [{quantity: test-voltage, from: v, unit: V}]}
      examples:
        - name: numbers
          turns: [{sent: "98;1.0\\r\\n1;1.1\\r\\n50;1.2\\r\\n3;1.3\\r\\n"}]
          gives:
            - {values: {test-voltage: 1.0 V}, number: 98}
            - {values: {test-voltage: 1.1 V}, number: 100, gap: 99}
            - {values: {test-voltage: 1.2 V}, number: 149, gap: 101-148}
            - {values: {test-voltage: 1.3 V}, number: 3, restart: true}
      """;

  @Test
  @DisplayName("an example says numbers, gaps and restarts, and is told where they are others")
  void places() throws Exception {
    DriverReport right = DriverCheck.of(DeclaredFile.parse("counted.yaml", COUNTED), 1);
    assertTrue(right.isSound(), right.lines().toString());
    String wrong =
        COUNTED
            .replace("number: 98", "number: 97")
            .replace(", gap: 99", "")
            .replace("101-148", "101-147")
            .replace(", restart: true", "");
    assertEquals(
        List.of(
            "the example \"numbers\": other readings came than the example has:",
            "reading 1: the number is 98, in the example 97",
            "reading 3: 101 to 147 are not declared missing, in the example they are",
            "reading 4: it follows a restart, in the example it does not",
            "99 to 99 are declared missing, and the example has no such gap",
            "101 to 148 are declared missing, and the example has no such gap",
            "no fault was told"),
        List.of(
            DriverCheck.of(DeclaredFile.parse("counted.yaml", wrong), 1)
                .sentences(DriverRule.WHOLE)
                .get(0)
                .split("\n")));
  }

  @Test
  @DisplayName("an example that differs is told by its differences, one a line")
  void differences() throws Exception {
    String file =
        PHASES
            + """
              examples:
                - name: two phases
                  turns: [{sent: "1.5;1.6\\r\\n"}]
                  gives:
                    - {values: {turns-ratio: 1.5 1}, labels: {phase: A}}
                    - {values: {turns-ratio: 1.7 1}, labels: {phase: B, tap: "3"}, status: suspect}
              """;
    DriverReport report = DriverCheck.of(DeclaredFile.parse("phases.yaml", file), 1);
    assertEquals(
        List.of(
            "the example \"two phases\": other readings came than the example has:",
            "reading 2, phase B: turns-ratio 1.6 1 came, in the example it is turns-ratio 1.7 1",
            "reading 2, phase B: label tap \"3\" of the example did not come",
            "reading 2, phase B: the status is ok, in the example suspect",
            "no fault was told"),
        List.of(report.sentences(DriverRule.WHOLE).get(0).split("\n")));
    String lines = String.join("\n", report.lines());
    assertTrue(lines.contains("\n                    reading 2, phase B: the status is"), lines);
  }
}
