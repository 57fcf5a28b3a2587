package org.tallywire.simulator.scenario;

import static org.junit.jupiter.api.Assertions.assertNotNull;
import static org.junit.jupiter.api.Assertions.assertTrue;

import java.io.IOException;
import java.nio.file.Files;
import java.nio.file.Path;
import java.time.Duration;
import java.util.ArrayList;
import java.util.List;
import java.util.OptionalLong;
import java.util.Random;
import org.junit.jupiter.api.DisplayName;
import org.junit.jupiter.api.Test;

/**
 * Damaged files and lines: either a scenario or a {@link ScenarioException}, never anything else.
 */
final class ScenarioFuzzTest {

  private static final int ROUNDS = 2000;
  private static final String PIECES =
      "{}[]:,-#&*!|>'\"%@`?~=<> \n\t\r0159.AHVk°Ω\u2009\u0000\u0007\ud83d\udd0c\ufeff";

  @Test
  @DisplayName("files")
  void files() throws IOException {
    List<String> sound = new ArrayList<>();
    for (String name : ScenarioFile.shipped()) {
      sound.add(Files.readString(Path.of("scenarios", name + ".yaml")));
    }
    fuzz(sound, text -> ScenarioFile.parse("file", text, OptionalLong.empty()));
  }

  @Test
  @DisplayName("lines")
  void lines() throws ScenarioException {
    Scenario scenario = ScenarioFile.read("hollow-lane", OptionalLong.empty());
    fuzz(
        FaultTextTest.faults().stream().map(f -> f + " from 20 s until 30 s").toList(),
        text -> FaultText.read(text, scenario, Duration.ofSeconds(1)));
  }

  private interface Reading {
    Object read(String text) throws ScenarioException;
  }

  private static void fuzz(List<String> sound, Reading reading) {
    long seed = new Random().nextLong();
    System.out.println("seed " + seed);
    Random random = new Random(seed);
    int refused = 0;
    for (int round = 0; round < ROUNDS; round++) {
      String text = sound.get(random.nextInt(sound.size()));
      for (int damage = random.nextInt(4); damage >= 0; damage--) {
        text = damaged(text, random);
      }
      try {
        assertNotNull(reading.read(text));
      } catch (ScenarioException told) {
        refused++;
        assertTrue(String.valueOf(told.getMessage()).contains("column "), told.getMessage());
      } catch (RuntimeException | StackOverflowError wrong) {
        throw new AssertionError("seed %d: %s".formatted(seed, text), wrong);
      }
    }
    assertTrue(refused > ROUNDS / 4, refused + " refused, seed " + seed);
  }

  private static String damaged(String text, Random random) {
    int at = random.nextInt(text.length() + 1);
    int to = Math.min(text.length(), at + random.nextInt(20));
    String piece = "" + PIECES.charAt(random.nextInt(PIECES.length()));
    String rest = text.substring(at);
    return switch (random.nextInt(6)) {
      case 0 -> text.substring(0, at) + piece + rest;
      case 1 -> text.substring(0, at) + piece + text.substring(Math.min(text.length(), at + 1));
      case 2 -> text.substring(0, at) + text.substring(to);
      case 3 -> text.substring(0, to) + rest;
      case 4 -> text.substring(0, at) + piece.repeat(random.nextInt(50)) + rest;
      default -> text.substring(0, at);
    };
  }
}
