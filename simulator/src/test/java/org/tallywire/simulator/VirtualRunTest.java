package org.tallywire.simulator;

import static org.junit.jupiter.api.Assertions.assertArrayEquals;
import static org.junit.jupiter.api.Assertions.assertEquals;
import static org.junit.jupiter.api.Assertions.assertFalse;
import static org.junit.jupiter.api.Assertions.assertThrows;
import static org.junit.jupiter.api.Assertions.assertTrue;

import java.io.ByteArrayOutputStream;
import java.io.OutputStream;
import java.nio.charset.StandardCharsets;
import java.util.ArrayList;
import java.util.Arrays;
import java.util.List;
import java.util.Locale;
import java.util.stream.Stream;
import org.junit.jupiter.api.Test;
import org.junit.jupiter.params.ParameterizedTest;
import org.junit.jupiter.params.provider.MethodSource;
import org.tallywire.simulator.scenario.ScenarioException;
import org.tallywire.simulator.scenario.ScenarioFile;

/** What an instrument says in virtual time: the same bytes for the same scenario and seed. */
class VirtualRunTest {

  static List<String> scenarios() {
    return ScenarioFile.shipped();
  }

  private static byte[] said(String... arguments) throws Exception {
    ByteArrayOutputStream bytes = new ByteArrayOutputStream();
    VirtualRun.write(TestFleet.options(arguments), bytes, words -> {});
    return bytes.toByteArray();
  }

  private static List<String> linesOf(byte[] bytes) {
    return new String(bytes, StandardCharsets.US_ASCII).lines().toList();
  }

  @ParameterizedTest
  @MethodSource("scenarios")
  void aScenarioAlwaysGivesTheSameBytes(String name) throws Exception {
    byte[] first = said("--to=-", "--scenario=" + name);
    assertTrue(first.length > 500, first.length + " bytes");
    assertArrayEquals(first, said("--to=-", "--scenario=" + name));
    assertFalse(
        Arrays.equals(first, said("--to=-", "--scenario=" + name, "--seed=4711")),
        "another seed, other bytes");
  }

  @Test
  void everyReadingIsSaidOnceInOrderAndThenThereAreBeats() throws Exception {
    List<String> lines = linesOf(said("--to=-"));
    List<String> readings = lines.stream().filter(l -> l.startsWith("!reading ")).toList();
    assertEquals(21, readings.size());
    for (int i = 0; i < readings.size(); i++) {
      assertTrue(readings.get(i).contains(" seq=" + (i + 1) + " "), readings.get(i));
      assertTrue(readings.get(i).contains(" at=2026-01-01T00:0"), readings.get(i));
    }
    assertTrue(lines.get(lines.size() - 1).contains("held=0"), lines.get(lines.size() - 1));
  }

  @Test
  void atAnotherPaceTheReadingsAreTheSame() throws Exception {
    List<String> once = values(said("--to=-"));
    List<String> thousand = values(said("--to=-", "--pace=1000"));
    assertEquals(once, thousand);
  }

  private static List<String> values(byte[] bytes) {
    return linesOf(bytes).stream()
        .filter(l -> l.startsWith("!reading "))
        .map(l -> l.replaceAll(".* test=", "").replaceAll(" digest=.*", ""))
        .toList();
  }

  @Test
  void whatALineDestroysIsSaidAgain() throws Exception {
    List<String> rough = linesOf(said("--to=-", "--plant=lost bytes: {share: 0.1 %}", "--seed=3"));
    for (int seq = 1; seq <= 21; seq++) {
      String field = " seq=" + seq + " ";
      assertTrue(rough.stream().anyMatch(line -> line.contains(field)), "reading " + seq);
    }
    assertTrue(rough.stream().anyMatch(line -> line.contains("resent=1")));
  }

  @Test
  void theBytesDoNotDependOnTheLanguageOfTheMachine() throws Exception {
    byte[] here = said("--to=-", "--scenario=wrong-tap");
    Locale before = Locale.getDefault();
    try {
      for (String tag : List.of("ar-EG", "tr-TR", "fa-IR", "th-TH-u-nu-thai")) {
        Locale.setDefault(Locale.forLanguageTag(tag));
        assertArrayEquals(here, said("--to=-", "--scenario=wrong-tap"), tag);
      }
    } finally {
      Locale.setDefault(before);
    }
  }

  @Test
  void whoListensToAMeterAsksAgainWhereItDoesNotAnswer() throws Exception {
    for (String fault : List.of("reboot", "lost bytes: {share: 0.2 %}", "bit errors: drawn")) {
      List<String> answers = linesOf(said("--to=-", "--speaks=scpi", "--plant=" + fault));
      assertTrue(answers.stream().anyMatch(a -> a.startsWith("21,")), fault + ": " + answers);
    }
  }

  @Test
  void aLineThatLetsNothingThroughIsGivenUp() {
    for (String language : List.of("line", "scpi")) {
      ScenarioException givenUp =
          assertThrows(
              ScenarioException.class,
              () -> said("--to=-", "--speaks=" + language, "--plant=lost bytes: {share: 100 %}"));
      assertTrue(String.valueOf(givenUp.getMessage()).contains("it measured nothing"), language);
    }
  }

  @Test
  void twoRebootsBeforeMeasuringBeginsAreTwo() throws Exception {
    List<String> remarks = new ArrayList<>();
    Options options = TestFleet.options("--to=-", "--plant=reboot", "--plant=reboot");
    VirtualRun.write(options, OutputStream.nullOutputStream(), remarks::add);
    String off = "SIM-0001: is switched off, and on again after 5 s of bench time";
    assertEquals(List.of(off, off), remarks);
  }

  /** The figures of the README; they change only with the physics or the draws. */
  @Test
  void theReadmesReadingsAreThoseOfItsScenario() throws Exception {
    List<String> values = values(said("--to=-", "--scenario=hollow-lane"));
    assertEquals(
        "turns-ratio windings=HV-LV phase=A tap=1 v1=46.2240 v2=2.862 v3=0.021 v4=39.98",
        values.get(0));
    assertEquals(
        "winding-resistance windings=LV phase=C v6=2.5000 v7=10.009 v8=15.8", values.get(20));
  }

  @Test
  void whatAFullStoreDroppedIsDeclared() throws Exception { // L-26
    List<String> lines = linesOf(said("--to=-", "--scenario=full-store"));
    assertTrue(lines.stream().anyMatch(line -> line.startsWith("!lost ")), lines.toString());
  }

  @Test
  void aFaultThatNoReadingCanShowIsTold() throws Exception {
    List<String> remarks = new ArrayList<>();
    Options options =
        TestFleet.options(
            "--to=-",
            "--plant={bad joint: {winding: LV, phase: C, adds: 8 %}, from: 0.2 s, for: 0.3 s}");
    VirtualRun.write(options, OutputStream.nullOutputStream(), remarks::add);
    String told = String.join("\n", remarks);
    assertTrue(
        told.contains("nothing was while this was there: bad joint: {winding: LV, phase: C,"),
        told);
  }

  @Test
  void afterARebootThereIsAnotherBootIdAndTheStoreIsEmpty() throws Exception {
    List<String> lines = linesOf(said("--to=-", "--plant=reboot: {lasts: 3 s} from 4 s"));
    List<String> boots =
        lines.stream()
            .filter(l -> l.startsWith("!start "))
            .flatMap(l -> Stream.of(l.replaceAll(".*boot=([^*]*)\\*.*", "$1")))
            .toList();
    assertEquals(2, boots.size(), lines.toString());
    assertEquals(2, boots.stream().distinct().count());
    String second =
        lines.stream()
            .filter(l -> l.contains("boot=" + boots.get(1) + " seq="))
            .findFirst()
            .orElseThrow();
    assertTrue(second.contains(" seq=1 "), second);
  }
}
