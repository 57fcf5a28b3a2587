package org.tallywire.conform;

import static org.junit.jupiter.api.Assertions.assertEquals;
import static org.junit.jupiter.api.Assertions.assertTrue;

import java.io.IOException;
import java.nio.file.Files;
import java.nio.file.Path;
import java.util.ArrayList;
import java.util.HashSet;
import java.util.List;
import java.util.Set;
import java.util.regex.MatchResult;
import java.util.regex.Pattern;
import java.util.stream.Stream;
import org.junit.jupiter.api.DisplayName;
import org.junit.jupiter.api.Test;

/** What the kit cites, held against the page. */
class CitationsTest {

  private static final Path PAGE = Path.of("../../shared/protocol.md");
  private static final Pattern RULE =
      Pattern.compile("(?m)^- \\*\\*(L-[0-9]+)\\*\\*(.*(?:\\n  - .*)*)$");
  private static final Pattern LETTER = Pattern.compile("\\(([a-z])\\)");
  private static final Pattern CITED = Pattern.compile("L-[0-9]+[a-z]?");
  private static final Pattern LIST = Pattern.compile("\"((?:L-[0-9]+[a-z]? ?)+)\"");

  @Test
  @DisplayName("Every rule that the kit names is on the page, and what it judges by has its letter")
  void cited() throws IOException {
    Set<String> rules = new HashSet<>();
    Set<String> sentences = new HashSet<>();
    for (MatchResult rule : RULE.matcher(Files.readString(PAGE)).results().toList()) {
      rules.add(rule.group(1));
      List<String> letters =
          LETTER.matcher(rule.group(2)).results().map(letter -> letter.group(1)).toList();
      letters.forEach(letter -> sentences.add(rule.group(1) + letter));
      if (letters.isEmpty()) {
        sentences.add(rule.group(1));
      }
    }
    List<String> wrong = new ArrayList<>();
    int judged = 0;
    for (Path file : sources()) {
      String source = Files.readString(file);
      CITED
          .matcher(source)
          .results()
          .map(MatchResult::group)
          .filter(cited -> !rules.contains(cited) && !sentences.contains(cited))
          .forEach(cited -> wrong.add(file.getFileName() + ": " + cited));
      for (MatchResult list : LIST.matcher(source).results().toList()) {
        for (String cited : list.group(1).strip().split(" ", -1)) {
          judged++;
          if (isJudge(file) && !sentences.contains(cited)) {
            wrong.add(file.getFileName() + ": " + cited + " without its letter");
          }
        }
      }
    }
    assertEquals(List.of(), wrong);
    assertTrue(judged > 300, judged + " citations");
  }

  private static boolean isJudge(Path file) {
    return file.startsWith("src/main") || file.toString().endsWith("Defect.java");
  }

  private static List<Path> sources() throws IOException {
    List<Path> sources = new ArrayList<>();
    for (String folder : List.of("src/main/java", "src/test/java")) {
      try (Stream<Path> files = Files.walk(Path.of(folder))) {
        files
            .filter(file -> file.toString().endsWith(".java"))
            .filter(file -> !file.endsWith("CitationsTest.java"))
            .filter(file -> !file.endsWith("BridgeConformanceTest.java")) // names a rule as a word
            .forEach(sources::add);
      }
    }
    return sources;
  }
}
