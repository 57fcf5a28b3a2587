package org.tallywire.simulator.scenario;

import static org.junit.jupiter.api.Assertions.assertEquals;
import static org.junit.jupiter.api.Assertions.assertThrows;
import static org.junit.jupiter.api.Assertions.assertTrue;

import java.io.IOException;
import java.io.InputStream;
import java.nio.charset.StandardCharsets;
import java.util.ArrayList;
import java.util.List;
import java.util.OptionalLong;
import java.util.stream.Stream;
import org.junit.jupiter.api.DisplayName;
import org.junit.jupiter.api.DynamicTest;
import org.junit.jupiter.api.Test;
import org.junit.jupiter.api.TestFactory;

/**
 * Wrong files with every sentence that is told of them, in {@code wrong-scenarios.txt}: a title
 * after {@code ==}, the file, then each sentence after {@code =>}. {@code <EMPTY>} is no line at
 * all, {@code <BEL>} a control character.
 */
final class WrongScenariosTest {

  private record Case(String title, String file, String sentences) {}

  @TestFactory
  Stream<DynamicTest> everyMistakeIsToldWithItsPlace() throws IOException {
    return cases().stream()
        .map(c -> DynamicTest.dynamicTest(c.title(), () -> assertEquals(c.sentences(), told(c))));
  }

  @Test
  @DisplayName("the table is there and each case says what is wrong")
  void noCaseIsEmpty() throws IOException {
    List<Case> cases = cases();
    assertTrue(cases.size() >= 60, cases.size() + " cases");
    assertEquals(List.of(), cases.stream().filter(c -> c.sentences().isEmpty()).toList());
  }

  private static String told(Case wrong) {
    String text = wrong.file().replace("<EMPTY>\n", "").replace("<BEL>", "\u0007");
    ScenarioException told =
        assertThrows(
            ScenarioException.class, () -> ScenarioFile.parse("file", text, OptionalLong.empty()));
    return String.valueOf(told.getMessage()).replace("file line ", "line ").replace("\r\n", "\n");
  }

  private static List<Case> cases() throws IOException {
    List<Case> cases = new ArrayList<>();
    String title = "";
    StringBuilder file = new StringBuilder();
    List<String> sentences = new ArrayList<>();
    for (String line : (text() + "== end").split("\n", -1)) {
      if (line.startsWith("== ")) {
        if (!title.isEmpty()) {
          cases.add(new Case(title, file.toString(), String.join("\n", sentences)));
        }
        title = line.substring(3);
        file.setLength(0);
        sentences.clear();
      } else if (line.startsWith("=> ")) {
        sentences.add(line.substring(3));
      } else {
        file.append(line).append('\n');
      }
    }
    return cases;
  }

  private static String text() throws IOException {
    try (InputStream stream = WrongScenariosTest.class.getResourceAsStream("wrong-scenarios.txt")) {
      return new String(stream.readAllBytes(), StandardCharsets.UTF_8);
    }
  }
}
