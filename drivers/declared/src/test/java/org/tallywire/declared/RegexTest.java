package org.tallywire.declared;

import static org.junit.jupiter.api.Assertions.assertEquals;
import static org.junit.jupiter.api.Assertions.assertThrows;
import static org.junit.jupiter.api.Assertions.assertTimeoutPreemptively;
import static org.junit.jupiter.api.Assertions.assertTrue;

import java.time.Duration;
import java.util.LinkedHashMap;
import java.util.Map;
import java.util.Optional;
import java.util.Random;
import java.util.regex.Matcher;
import java.util.regex.Pattern;
import org.junit.jupiter.api.DisplayName;
import org.junit.jupiter.api.Test;
import org.junit.jupiter.params.ParameterizedTest;
import org.junit.jupiter.params.provider.CsvSource;
import org.junit.jupiter.params.provider.ValueSource;

/** Holds the bounded expressions to Java's own, which know the same grammar and more. */
final class RegexTest {

  @ParameterizedTest
  @CsvSource(
      delimiter = '~',
      value = {
        "(?<a>[-+0-9.]+) OHM~-12.5 OHM",
        "(?<a>OL|[0-9]+)(?<b> m)?OHM~OLOHM",
        "(?<a>.*?),(?<b>.*)~1,2,3",
        "(?<a>.*),(?<b>.*)~1,2,3",
        "(?<a>[^;]*);(?<b>\\S+)~x y;z",
        "(?:(?<a>x)|(?<b>y))+~xyxy",
        "^(?<a>\\d{2,4})$~123",
        "\\*\\*\\* (?<a>[A-Z ]+?) *\\*~*** END  *",
        "(?<a>a|ab)(?<b>c|bcd)(?<c>d*)~abcd",
        "[]a]+(?<a>[\\]x-])~]a-",
      })
  @DisplayName("what meters' lines need matches as Java matches it")
  void usual(String pattern, String line) throws Exception {
    assertEquals(java(pattern, line), Regex.of(pattern).match(line));
    assertTrue(Regex.of(pattern).match(line).isPresent());
    assertEquals(java(pattern, line + "!"), Regex.of(pattern).match(line + "!"));
  }

  @Test
  @DisplayName("random expressions over random lines match as Java's do, with the same groups")
  void random() throws Exception {
    long seed = new Random().nextLong();
    Random random = new Random(seed);
    int matched = 0;
    for (int i = 0; i < 2_000; i++) {
      int[] names = {0};
      String pattern = expression(random, 3, names);
      String line = line(random);
      Optional<Map<String, String>> here = Regex.of(pattern).match(line);
      assertEquals(java(pattern, line), here, "seed %d: %s on %s".formatted(seed, pattern, line));
      matched += here.isPresent() ? 1 : 0;
    }
    assertTrue(matched > 100, matched + " matched");
  }

  /** No part that may be empty is repeated: there Java's groups depend on its own bookkeeping. */
  private static String expression(Random random, int depth, int[] names) {
    StringBuilder text = new StringBuilder();
    int parts = 1 + random.nextInt(3);
    for (int i = 0; i < parts; i++) {
      switch (depth == 0 ? random.nextInt(3) : random.nextInt(6)) {
        case 0 -> text.append((char) ('a' + random.nextInt(3)));
        case 1 -> text.append("[ab]").append(times(random));
        case 2 -> text.append((char) ('a' + random.nextInt(3))).append(times(random));
        case 3 ->
            text.append("(?<g%d>".formatted(names[0]++))
                .append(expression(random, depth - 1, names))
                .append(")");
        case 4 ->
            text.append("(?:")
                .append(expression(random, depth - 1, names))
                .append("|")
                .append(expression(random, depth - 1, names))
                .append(")");
        default -> text.append("(?:c").append(plain(random)).append(")").append(times(random));
      }
    }
    return text.toString();
  }

  private static String plain(Random random) {
    return random.nextBoolean() ? "a" : "b?";
  }

  private static String times(Random random) {
    String[] all = {"?", "*", "+", "??", "*?", "+?", "{2}", "{1,3}", "{0,2}?", "{2,}"};
    return all[random.nextInt(all.length)];
  }

  private static String line(Random random) {
    StringBuilder line = new StringBuilder();
    for (int length = random.nextInt(8); length > 0; length--) {
      line.append((char) ('a' + random.nextInt(3)));
    }
    return line.toString();
  }

  private static Optional<Map<String, String>> java(String pattern, String line) throws Exception {
    Matcher matcher = Pattern.compile(pattern).matcher(line);
    if (!matcher.matches()) {
      return Optional.empty();
    }
    Map<String, String> groups = new LinkedHashMap<>();
    for (String name : Regex.of(pattern).names()) {
      if (matcher.group(name) != null) {
        groups.put(name, matcher.group(name));
      }
    }
    return Optional.of(groups);
  }

  @ParameterizedTest
  @ValueSource(
      strings = {
        "(a*)*b",
        "(a+)+b",
        "(a|a)*b",
        "(a|aa)+b",
        "(?:a?){100}a{100}b",
        "(?:|){100}b",
        "(?:(?:|)(?:|)){200}b",
        ".*.*.*.*.*.*.*.*.*.*b",
        "((((((a*)*)*)*)*)*)*b"
      })
  @DisplayName("expressions that stall others end at once on the longest line (DRV-1)")
  void hostile(String pattern) throws Exception {
    Regex regex = Regex.of(pattern);
    String line = "a".repeat(2048);
    assertTimeoutPreemptively(
        Duration.ofSeconds(20), () -> assertEquals(Optional.empty(), regex.match(line)));
  }

  @ParameterizedTest
  @CsvSource(
      delimiter = '|',
      value = {
        "(a)\\1|back",
        "(?=a)b|looking ahead",
        "(?<!a)b|looking behind",
        "(?<=a)b|looking behind",
        "(a|is not closed",
        "a)|closes nothing",
        "[a|is not closed",
        "a**|repetition of a repetition",
        "*a|nothing before it",
        "a{2000}|not 0 to 200",
        "a{3,2}|is none",
        "((a{200}){200}){200}|more than 4000 steps",
        "[z-a]|backwards",
        "\\q|which is not possible",
        "(?<a>x)(?<a>y)|second group",
        "(?<1>x)|a letter first",
        "\\xZZ|hexadecimal",
        "a\\|nothing behind it",
        "^*|repetition of ^",
      })
  @DisplayName("what cannot be bounded, or is wrong, is refused with what to write")
  void refused(String pattern, String why) {
    String message = assertThrows(RegexSyntaxException.class, () -> Regex.of(pattern)).getMessage();
    String expected = why.equals("back") ? "\\1, which is not possible" : why;
    assertTrue(message.contains(expected), message);
  }
}
