package org.tallywire.line;

import static org.junit.jupiter.api.Assertions.assertEquals;

import java.io.IOException;
import java.nio.file.Files;
import java.nio.file.Path;
import java.util.List;
import java.util.Set;
import java.util.TreeSet;
import java.util.regex.MatchResult;
import java.util.regex.Pattern;
import java.util.stream.Collectors;
import org.junit.jupiter.api.DisplayName;
import org.junit.jupiter.api.Test;

/** The page keeps its own order (section 1). */
class PageTest {

  private static final Path PAGE = Path.of("../../shared/protocol.md");
  private static final Pattern NORMATIVE = Pattern.compile("\\b(MUST|SHOULD|MAY)\\b");

  @Test
  @DisplayName("Every normative sentence stands under the number of a rule, and under a letter")
  void normative() throws IOException {
    List<String> loose =
        Files.readAllLines(PAGE).stream()
            .filter(line -> NORMATIVE.matcher(line).find())
            .filter(line -> !line.matches("(- \\*\\*L-[0-9]+\\*\\* \\*.*\\*: |  - \\([a-z]\\) ).*"))
            .filter(line -> !line.startsWith("Words in capitals ") && !line.startsWith("| L-"))
            .toList();
    assertEquals(List.of(), loose);
  }

  @Test
  @DisplayName("Appendix B lists every rule once, and no other")
  void listed() throws IOException {
    String page = Files.readString(PAGE);
    assertEquals(
        found(page, "(?m)^- \\*\\*(L-[0-9]+)\\*\\*"), found(page, "(?m)^\\| (L-[0-9]+) \\|"));
  }

  private static Set<String> found(String page, String pattern) {
    List<String> all =
        Pattern.compile(pattern)
            .matcher(page)
            .results()
            .map((MatchResult rule) -> rule.group(1))
            .toList();
    Set<String> once = all.stream().collect(Collectors.toCollection(TreeSet::new));
    assertEquals(all.size(), once.size(), "a rule stands twice: " + all);
    return once;
  }
}
