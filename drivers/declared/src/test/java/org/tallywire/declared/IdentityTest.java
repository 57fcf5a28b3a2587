package org.tallywire.declared;

import static org.junit.jupiter.api.Assertions.assertEquals;
import static org.junit.jupiter.api.Assertions.assertTrue;

import java.time.Duration;
import java.util.List;
import java.util.Map;
import org.junit.jupiter.api.DisplayName;
import org.junit.jupiter.api.Test;
import org.tallywire.api.FaultCode;

/** Who an instrument is: asked for, set by the station, or both. */
final class IdentityTest {

  private static final String RULES =
      """
      driver: m
      version: 1
      about: a meter
      rules:
        - match: "IS (?<serial>[0-9]*)"
          identify: true
        - match: "(?<v>[0-9.]+)"
          reading: {values: [{quantity: test-voltage, from: v, unit: V}]}
      """;

  private static final String ASKED =
      RULES
          + "at-start: [{send: \"WHO\\r\", effect: query, answer: identity, within: 500 ms}]\n"
          + "ask: [{send: \"V?\\r\", effect: query}]\n";

  private static DeclaredDriver asked() throws DeclarationException {
    return DeclaredFile.parse("m.yaml", ASKED);
  }

  private static String usual(DeclaredDriver driver) {
    return driver.description().settings().get(0).usual();
  }

  @Test
  @DisplayName("a station must give a serial number only where the meter need not say it first")
  void mustBeSet() throws Exception {
    assertEquals("-", usual(asked()));
    assertEquals("-", usual(ShippedFilesTest.driver("query-ratiometer")));
    assertEquals("", usual(ShippedFilesTest.driver("bench-ohmmeter")));
    assertEquals("", usual(DeclaredFile.parse("talks", RULES)), "it may say it later, or never");
    assertEquals(
        "",
        usual(DeclaredFile.parse("model", ASKED.replace("?<serial>", "?<model>"))),
        "no serial");
    assertEquals("7", usual(DeclaredFile.parse("file", ASKED + "instrument: {serial: \"7\"}\n")));
  }

  @Test
  @DisplayName("DRV-17: without a setting the meter's own serial number counts, with \"-\" none")
  void withoutSetting() throws Exception {
    Played played = new Played(asked());
    played.arrives("IS 4711\r\n1.5\r\n");
    assertEquals("4711", played.host.readings().get(0).instrument().serial());
    assertEquals(List.of(), played.host.contradictions());
    Played nameless =
        new Played(ShippedFilesTest.driver("bench-ohmmeter").configured(Map.of("serial", "-")));
    nameless.arrives("\r\n1.0 OHM\r\n");
    assertEquals("", nameless.host.readings().get(0).instrument().serial());
  }

  @Test
  @DisplayName("DRV-17: a setting that contradicts the meter is told, and the meter counts")
  void contradicted() throws Exception {
    Played played = new Played(asked().configured(Map.of("serial", "0815")));
    played.arrives("IS 4711\r\n1.5\r\n");
    assertEquals("4711", played.host.readings().get(0).instrument().serial());
    assertEquals(
        List.of(
            "the instrument says that its serial number is 4711, and the settings or the driver's"
                + " file say 0815: what the instrument says counts; take the other out"),
        played.host.contradictions());
    Played same = new Played(asked().configured(Map.of("serial", "4711")));
    same.arrives("IS 4711\r\n");
    assertEquals(List.of(), same.host.contradictions());
  }

  @Test
  @DisplayName("DRV-17: what stands in place of a serial number at an address contradicts nobody")
  void addressed() throws Exception {
    String file = ASKED.replace("WHO", "{address}WHO") + "addresses: [\"01\"]\n";
    Played played = new Played(DeclaredFile.parse("m.yaml", file));
    played.arrives("IS 4711\r\n");
    assertEquals(List.of(), played.host.contradictions());
    Played other =
        new Played(DeclaredFile.parse("m.yaml", file).configured(Map.of("addresses", "01=7")));
    other.arrives("IS 4711\r\n");
    assertTrue(
        other.host.contradictions().get(0).startsWith("the instrument at address 01 says"),
        other.host.contradictions().toString());
  }

  @Test
  @DisplayName("DRV-11, DRV-34: no line is a reading until the question who it is was answered")
  void noReadingBefore() throws Exception {
    Played played = new Played(asked());
    assertEquals("WHO\r", played.sent());
    played.arrives("1.4\r\n");
    assertEquals(List.of(FaultCode.OUT_OF_ORDER), played.faultCodes());
    assertTrue(
        String.valueOf(played.faults.get(0).getMessage()).contains("before the instrument said"),
        played.faults.toString());
    assertEquals(List.of(), played.host.readings());
    assertEquals(List.of(), played.host.instruments());
    played.pass(Duration.ofSeconds(1));
    assertEquals("WHO\r", played.sent(), "it was no answer, so the question is sent again");
    played.arrives("IS 4711\r\n");
    played.arrives("1.5\r\n");
    assertEquals(1, played.host.readings().size());
    played.open();
    played.arrives("1.6\r\n");
    assertEquals(1, played.host.readings().size(), "a link that is opened anew asks anew");
  }

  @Test
  @DisplayName("a meter that is not asked who it is gives readings under what is known")
  void notAsked() throws Exception {
    Played played = new Played(DeclaredFile.parse("m.yaml", RULES));
    played.arrives("\r\n1.5\r\nIS 4711\r\n1.6\r\n");
    assertEquals(
        List.of("", "4711"),
        played.host.readings().stream().map(r -> r.instrument().serial()).toList());
  }
}
