package org.tallywire.bridge;

import static org.junit.jupiter.api.Assertions.assertEquals;
import static org.junit.jupiter.api.Assertions.assertFalse;
import static org.junit.jupiter.api.Assertions.assertTrue;

import java.io.ByteArrayOutputStream;
import java.io.IOException;
import java.io.PrintStream;
import java.math.BigDecimal;
import java.nio.charset.StandardCharsets;
import java.nio.file.Files;
import java.nio.file.Path;
import java.util.ArrayList;
import java.util.List;
import java.util.Optional;
import java.util.TreeMap;
import java.util.stream.Collectors;
import java.util.stream.Stream;
import org.junit.jupiter.api.DisplayName;
import org.junit.jupiter.api.DynamicTest;
import org.junit.jupiter.api.Test;
import org.junit.jupiter.api.TestFactory;
import org.junit.jupiter.api.io.TempDir;
import org.tallywire.api.Driver;
import org.tallywire.api.Example;
import org.tallywire.api.LinkAddress;
import org.tallywire.api.TimeSource;
import org.tallywire.declared.DeclaredFile;
import org.tallywire.kit.DriverCheck;
import org.tallywire.kit.DriverReport;
import org.tallywire.link.Links;
import org.tallywire.link.VisibleBytes;

/** The commands for somebody who makes a driver, on the files that are shipped. */
class DriverCommandTest {

  private static final Path SHIPPED = Path.of("../../shared/declared");

  @TempDir private Path folder;

  private static int run(Object... arguments) {
    String[] words = Stream.of(arguments).map(Object::toString).toArray(String[]::new);
    return Tallywire.commandLine().execute(words);
  }

  private Path text(String name, String content) throws IOException {
    return Files.writeString(folder.resolve(name), content, StandardCharsets.ISO_8859_1);
  }

  @Test
  @DisplayName(
      "check: 0 where every rule holds, 1 where one is broken, 2 where nothing can be read")
  void checkExitCodes() throws Exception {
    Path file = SHIPPED.resolve("bench-ohmmeter.yaml");
    assertEquals(0, run("driver", "check", file, "--seed", "1"));
    String wrong = Files.readString(file).replace("12.345 mOhm", "12.35 mOhm");
    assertEquals(
        1,
        run(
            "driver",
            "check",
            Files.writeString(folder.resolve("wrong.yaml"), wrong),
            "--seed",
            "1"));
    assertEquals(2, run("driver", "check", text("broken.yaml", "driver: [")));
    assertEquals(2, run("driver", "check", folder.resolve("none.txt")));
    assertEquals(2, run("driver", "check", file, "--set", "colour=red"));
    assertEquals(0, run("driver", "check", ExampleJar.build(folder), "--seed", "1"));
  }

  @Test
  @DisplayName("check: the bits of a status are listed with masks, to compare with the manual")
  void checkListsBits() throws Exception {
    String shipped = Files.readString(SHIPPED.resolve("bench-ohmmeter.yaml"));
    String bits =
        shipped.replaceFirst(
            "rules:\n",
            """
            rules:
              - match: "S(?<flags>[0-9A-F]{2}) (?<volts>[0-9.]+)"
                reading:
                  values: [{quantity: test-voltage, from: volts, unit: V}]
                  status: {from: flags, bits: {0x01: ok, 0x10: aborted}}
            """);
    Path file = Files.writeString(folder.resolve("bits.yaml"), bits);
    PrintStream before = System.out;
    ByteArrayOutputStream shown = new ByteArrayOutputStream();
    System.setOut(new PrintStream(shown, true, StandardCharsets.UTF_8));
    try {
      assertEquals(0, run("driver", "check", file, "--seed", "1"));
    } finally {
      System.setOut(before);
    }
    String all = shown.toString(StandardCharsets.UTF_8);
    assertTrue(
        all.contains("  flags: bit 0, mask 0x01: ok\n  flags: bit 4, mask 0x10: aborted"), all);
  }

  @Test
  @DisplayName("try: what comes, what is made of it, and the most frequent fault with advice")
  void tryShowsAll() throws Exception {
    Path capture =
        text(
            "some.capture",
            "# tallywire capture 1\n0.2 < 12.3\n0.3 < 45 mOHM\\r\\n\n0.4 < 1 mH\\r\\n2 mH\\r\\n\n");
    ByteArrayOutputStream shown = new ByteArrayOutputStream();
    LinkAddress address = new LinkAddress.Recording(capture, BigDecimal.ONE);
    Driver driver = DeclaredFile.read(SHIPPED.resolve("bench-ohmmeter.yaml"));
    try (Links links = new Links(folder)) {
      TryView view =
          new TryView(new PrintStream(shown, true, StandardCharsets.UTF_8), TimeSource.system(), 0);
      assertTrue(
          new DriverTry(driver, address, links::open, TimeSource.system(), view)
              .run(() -> false, Optional.empty()));
      view.summary();
      assertEquals(1, view.readings());
    }
    String all = shown.toString(StandardCharsets.UTF_8);
    for (String words :
        List.of(
            "< 12.3\n",
            "< 45 mOHM\\r\\n\n",
            "frame   12.345 mOHM\n",
            "value   winding-resistance 12.345 mΩ",
            "FAULT   frame-syntax: ",
            "3 frames, 1 readings, 2 faults",
            "Most frequent fault: frame-syntax, 2 times")) {
      assertTrue(all.contains(words), words + " is not in\n" + all);
    }
    assertEquals(
        0,
        run(
            "driver",
            "try",
            SHIPPED.resolve("bench-ohmmeter.yaml"),
            "--replay",
            capture,
            "--pace",
            "1"));
    assertEquals(2, run("driver", "try", SHIPPED.resolve("bench-ohmmeter.yaml")));
  }

  /** What the shipped meters send, as a text or as a capture with the questions. */
  @TestFactory
  Stream<DynamicTest> newFromTheShippedMeters() throws Exception {
    List<Path> files;
    try (Stream<Path> all = Files.list(SHIPPED)) {
      files = all.filter(f -> f.toString().endsWith(".yaml")).sorted().toList();
    }
    return files.stream()
        .map(
            file ->
                DynamicTest.dynamicTest(
                    file.getFileName().toString(),
                    () -> {
                      Driver driver = DeclaredFile.read(file);
                      Example example = driver.examples().get(0);
                      StringBuilder capture = new StringBuilder("# tallywire capture 1\n");
                      for (Example.Turn turn : example.turns()) {
                        event(capture, '>', turn.asked());
                        event(capture, '<', turn.answer());
                      }
                      assertGuessed(text(file.getFileName() + ".txt", capture.toString()));
                    }));
  }

  private static void event(StringBuilder capture, char way, byte[] bytes) {
    if (bytes.length > 0) {
      String text = VisibleBytes.text(bytes, 0, bytes.length);
      capture.append("0.1 ").append(way).append(' ').append(text).append('\n');
    }
  }

  private void assertGuessed(Path from) throws Exception {
    Path made = folder.resolve("made.yaml");
    Files.deleteIfExists(made);
    assertEquals(0, run("driver", "new", "--from", from, made));
    String content = Files.readString(made);
    assertTrue(content.contains("# guessed: "), content);
    DriverReport report = DriverCheck.of(DeclaredFile.read(made), 3);
    assertTrue(report.isSound(), report.lines() + "\n" + content);
    assertEquals(2, run("driver", "new", "--from", from, made), "nothing is written over");
    assertEquals(content, Files.readString(made));
  }

  @Test
  @DisplayName("new: numbers keep their signs, digits and units, whatever stands around them")
  void newKeepsNumbers() throws Exception {
    assertGuessed(text("a.txt", "T=-12.50 degC I=+0.070 A\r\nT=+1.0 degC I=-3 A\r\n"));
    List<String> given = new ArrayList<>();
    DeclaredFile.read(folder.resolve("made.yaml"))
        .examples()
        .get(0)
        .gives()
        .forEach(e -> e.values().forEach(v -> given.add(v.quantity() + Telling.inWords(v))));
    assertEquals(
        List.of(
            "winding-temperature-12.50 °C",
            "test-current0.070 A",
            "winding-temperature1.0 °C",
            "test-current-3 A"),
        given);
  }

  /** Returns what is written, which the command itself has checked. */
  private String made(Path from) throws Exception {
    Path made = folder.resolve("made.yaml");
    Files.deleteIfExists(made);
    assertEquals(0, run("driver", "new", "--from", from, made));
    return Files.readString(made);
  }

  private List<String> given() throws Exception {
    return DeclaredFile.read(folder.resolve("made.yaml")).examples().get(0).gives().stream()
        .map(
            e ->
                e.values().stream().map(Telling::inWords).collect(Collectors.joining(", "))
                    + " "
                    + new TreeMap<>(e.labels()))
        .toList();
  }

  @Test
  @DisplayName("new: firmware is no value, three phases are one rule, dashes are no number")
  void newKnowsMeters() throws Exception {
    String made =
        made(
            text(
                "b.txt",
                """
                LZ-40 FW 2.05
                R1 0,4231 Ohm
                R2 0,4229 Ohm
                R3 --,- Ohm
                R1 ---- Ohm
                0042
                """));
    assertEquals(
        List.of(
            "0.4231 Ω {phase=A, test=winding-resistance}",
            "0.4229 Ω {phase=B, test=winding-resistance}",
            "open {phase=C, test=winding-resistance}",
            "open {phase=A, test=winding-resistance}"),
        given());
    assertEquals(3, made.split("- name: 'kind ").length - 1, made);
    assertTrue(made.contains("(?<firmware>[^ ,;]+)"), made);
    assertTrue(made.contains("0042 has neither a unit nor decimals"), made);
    assertFalse(made.contains("../schema"), made);
  }

  @Test
  @DisplayName("new: letters with a number that varies are a field; one line cannot show it")
  void newKnowsLetteredNumbers() throws Exception {
    String first = "R0417 T05 17.3205 V S00\r\n";
    Path two = folder.resolve("two.yaml");
    Path lines = text("two.txt", first + "R0418 T06 17.0205 V S1F\r\n");
    assertEquals(0, run("driver", "new", two, "--from", lines));
    String both = Files.readString(two);
    assertTrue(both.contains("R(?<number>[0-9]+) +T(?<tap>[0-9]+)"), both);
    assertTrue(both.contains("count: {from: number}"), both);
    assertTrue(both.contains("tap: {from: tap}"), both);
    assertTrue(both.contains("S(?<number"), both);
    Path one = folder.resolve("one.yaml");
    assertEquals(0, run("driver", "new", one, "--from", text("one.txt", first)));
    String alone = Files.readString(one);
    assertTrue(
        alone.contains(
            "\"R0417\" is taken for fixed text, since one line alone cannot show what varies"),
        alone);
  }

  @Test
  @DisplayName("new: a command in a transcript, or one that came back, is a question and no line")
  void newKnowsQuestions() throws Exception {
    List<String> two =
        List.of("12.345 mΩ {test=winding-resistance}", "12.347 mΩ {test=winding-resistance}");
    for (String transcript :
        List.of(
            "READ?\r\n12.345 mOhm\r\nREAD?\r\n12.347 mOhm\r\n",
            "> READ?\n< 12.345 mOhm\n> READ?\n< 12.347 mOhm\n")) {
      String made = made(text("c.txt", transcript));
      assertEquals(two, given());
      assertTrue(made.contains("- send: \"READ?\\r\\n\"") && !made.contains("  echo:"), made);
    }
    String answer = "0.2 > READ?\\r\n0.2 < READ?\\r\\n12.34%d mOhm\\r\\n\n";
    String made =
        made(
            text(
                "d.capture",
                "# tallywire capture 1\n" + answer.formatted(5) + answer.formatted(7)));
    assertEquals(two, given());
    assertTrue(made.contains("  echo: true"), made);
  }

  @Test
  @DisplayName("new: strange lines give a file that passes, or a sentence and no file")
  void strangeLines() throws Exception {
    for (String strange :
        List.of(
            "",
            "\r\n\r\n",
            "hello\r\n",
            "1.5 V",
            "\u0000\u0001\u0002",
            "\u0002\u0003",
            "a'b\"c\\d 1.5 V #x: {y} [z] ?*+|^$()\r\n",
            "12,5 V;3,2 A;x\r\n",
            "1,2,3,4.5\n1,2,3\n",
            "\t1.5\tV\t\n",
            "21.5 \u00B0C\n",
            "x".repeat(3000) + " 1.5 V\n",
            "1.5 V 1.6 V 1.7 V\n",
            "99:99:99 1.5 V\n",
            "31.02.26 10:00 1.5 V\n",
            "1.5E+03 OHM\n-.5 OHM\n")) {
      Path made = folder.resolve("strange.yaml");
      Files.deleteIfExists(made);
      int exit = run("driver", "new", "--from", text("strange.txt", strange), made);
      assertEquals(exit == 0, Files.exists(made), strange);
      assertTrue(exit == 0 || exit == 2, "%d for %s".formatted(exit, strange));
      if (exit == 0) {
        assertTrue(DriverCheck.of(DeclaredFile.read(made), 3).isSound(), strange);
      }
    }
  }
}
