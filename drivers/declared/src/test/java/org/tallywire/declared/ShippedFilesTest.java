package org.tallywire.declared;

import static org.junit.jupiter.api.Assertions.assertEquals;
import static org.junit.jupiter.api.Assertions.assertFalse;
import static org.junit.jupiter.api.Assertions.assertTrue;

import java.io.IOException;
import java.io.InputStream;
import java.nio.file.Files;
import java.nio.file.Path;
import java.util.HashSet;
import java.util.List;
import java.util.Optional;
import java.util.Random;
import java.util.Set;
import java.util.stream.Stream;
import org.junit.jupiter.api.DisplayName;
import org.junit.jupiter.api.DynamicTest;
import org.junit.jupiter.api.Test;
import org.junit.jupiter.api.TestFactory;
import org.tallywire.api.Example;
import org.tallywire.api.FaultCode;
import org.tallywire.api.Reading;

/** Plays every example of {@code shared/declared}. */
final class ShippedFilesTest {

  static final Path FOLDER = Path.of("../../shared/declared");
  private static final int CUTS = 15;

  static List<Path> files() throws IOException {
    try (Stream<Path> files = Files.list(FOLDER)) {
      return files.filter(f -> f.toString().endsWith(".yaml")).sorted().toList();
    }
  }

  static DeclaredDriver driver(String name) throws DeclarationException {
    return DeclaredFile.read(FOLDER.resolve(name + ".yaml"));
  }

  @Test
  @DisplayName("at least five files, each by its driver's name, invented and with the schema named")
  void allAreThere() throws Exception {
    Set<String> names = new HashSet<>();
    for (Path file : files()) {
      DeclaredDriver driver = DeclaredFile.read(file);
      assertEquals(file.getFileName().toString(), driver.description().name() + ".yaml");
      String text = Files.readString(file);
      assertTrue(text.startsWith("# yaml-language-server: $schema=../schema/"), file.toString());
      assertTrue(text.contains("# Invented: "), file.toString());
      assertFalse(driver.examples().isEmpty(), file.toString());
      names.add(driver.description().name());
    }
    assertTrue(names.size() >= 5, names.toString());
  }

  @TestFactory
  Stream<DynamicTest> everyExample() throws Exception {
    long seed = new Random().nextLong();
    return files().stream()
        .flatMap(
            file -> {
              try {
                DeclaredDriver driver = DeclaredFile.read(file);
                return driver.examples().stream()
                    .map(
                        example ->
                            DynamicTest.dynamicTest(
                                "%s: %s".formatted(file.getFileName(), example.name()),
                                () -> plays(driver, example, seed)));
              } catch (DeclarationException e) {
                throw new AssertionError(e);
              }
            });
  }

  private static void plays(DeclaredDriver driver, Example example, long seed) throws Exception {
    Random random = new Random(seed);
    for (int i = 0; i < CUTS; i++) {
      Played played = new Played(driver);
      played.play(example, random);
      String what = "seed %d, cut %d, faults %s".formatted(seed, i, played.faults);
      List<Reading> readings = played.host.readings();
      assertEquals(example.gives().size(), readings.size(), what);
      for (int r = 0; r < readings.size(); r++) {
        assertTrue(
            example.gives().get(r).matches(readings.get(r)),
            "%s: %s is not %s".formatted(what, readings.get(r), example.gives().get(r)));
      }
      assertEquals(example.fault(), played.faultCodes().stream().findFirst(), what);
    }
  }

  @Test
  @DisplayName("the file in README.md is read, and its example plays")
  void readme() throws Exception {
    String page = Files.readString(FOLDER.resolve("README.md"));
    int from = page.indexOf("```yaml\n") + 8;
    DeclaredDriver driver =
        DeclaredFile.parse("README.md", page.substring(from, page.indexOf("```", from)));
    plays(driver, driver.examples().get(0), new Random().nextLong());
    for (Path file : files()) {
      assertTrue(page.contains("](" + file.getFileName() + ")"), file.toString());
    }
    for (int rule = 1; rule <= 18; rule++) {
      assertTrue(page.contains("- **DRV-%d** ".formatted(rule)), "DRV-" + rule);
    }
  }

  @Test
  @DisplayName("every line of the simulator's talk-only-bench (simulator --to) is understood")
  void simulator() throws Exception {
    byte[] printed;
    try (InputStream stream = getClass().getResourceAsStream("talk-only-bench.txt")) {
      printed = stream.readAllBytes();
    }
    Played played = new Played(driver("talk-only-tester"));
    played.arrives("\r\n");
    played.arrives(printed);
    assertEquals(21, played.host.readings().size());
    assertEquals(List.of(), played.faults);
    assertEquals(List.of(), played.host.gaps());
  }

  @Test
  @DisplayName("what the files say of their ports and instruments is in their descriptions")
  void descriptions() throws Exception {
    assertEquals("4800 baud, 7E1", driver("bench-ohmmeter").description().serial().toString());
    assertEquals(
        "2400 baud, 8N2, flow control xon-xoff",
        driver("printout-megohmmeter").description().serial().toString());
    assertFalse(driver("bus-thermometer").description().lines().rts());
    assertTrue(driver("bus-thermometer").description().checked());
    assertEquals("addresses", driver("bus-thermometer").description().settings().get(0).name());
    assertEquals(500, driver("query-ratiometer").description().lines().settle().toMillis());
    assertEquals("NUMBERS", driver("query-ratiometer").description().memory().name());
    assertEquals(Optional.empty(), driver("bench-ohmmeter").examples().get(0).fault());
    assertEquals(
        Optional.of(FaultCode.FRAME_SYNTAX), driver("bench-ohmmeter").examples().get(2).fault());
  }
}
