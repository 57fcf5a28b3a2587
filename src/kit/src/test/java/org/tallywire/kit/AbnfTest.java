package org.tallywire.kit;

import static org.junit.jupiter.api.Assertions.assertEquals;
import static org.junit.jupiter.api.Assertions.assertFalse;
import static org.junit.jupiter.api.Assertions.assertThrows;
import static org.junit.jupiter.api.Assertions.assertTrue;

import java.util.HashSet;
import java.util.List;
import java.util.Random;
import java.util.Set;
import java.util.stream.Stream;
import org.junit.jupiter.api.DisplayName;
import org.junit.jupiter.api.Test;
import org.junit.jupiter.params.ParameterizedTest;
import org.junit.jupiter.params.provider.CsvSource;
import org.junit.jupiter.params.provider.ValueSource;

/** Grammars from the text of RFC 5234 and RFC 7405, read, drawn from and recognised. */
class AbnfTest {

  /** RFC 5234, section 4: the grammar of ABNF itself. */
  private static final String OF_ITSELF =
      """
      rulelist       =  1*( rule / (*c-wsp c-nl) )
      rule           =  rulename defined-as elements c-nl
                             ; continues if next line starts
                             ;  with white space
      rulename       =  ALPHA *(ALPHA / DIGIT / "-")
      defined-as     =  *c-wsp ("=" / "=/") *c-wsp
      elements       =  alternation *c-wsp
      c-wsp          =  WSP / (c-nl WSP)
      c-nl           =  comment / CRLF
      comment        =  ";" *(WSP / VCHAR) CRLF
      alternation    =  concatenation
                        *(*c-wsp "/" *c-wsp concatenation)
      concatenation  =  repetition *(1*c-wsp repetition)
      repetition     =  [repeat] element
      repeat         =  1*DIGIT / (*DIGIT "*" *DIGIT)
      element        =  rulename / group / option /
                        char-val / num-val / prose-val
      group          =  "(" *c-wsp alternation *c-wsp ")"
      option         =  "[" *c-wsp alternation *c-wsp "]"
      char-val       =  DQUOTE *(%x20-21 / %x23-7E) DQUOTE
      num-val        =  "%" (bin-val / dec-val / hex-val)
      bin-val        =  "b" 1*BIT
                        [ 1*("." 1*BIT) / ("-" 1*BIT) ]
      dec-val        =  "d" 1*DIGIT
                        [ 1*("." 1*DIGIT) / ("-" 1*DIGIT) ]
      hex-val        =  "x" 1*HEXDIG
                        [ 1*("." 1*HEXDIG) / ("-" 1*HEXDIG) ]
      prose-val      =  "<" *(%x20-3D / %x3F-7E) ">"
      """;

  private static boolean matches(String grammar, String text) {
    return new AbnfRecogniser(Abnf.of(grammar)).matches("rule", text);
  }

  @ParameterizedTest
  @CsvSource(
      quoteCharacter = '`',
      delimiter = '|',
      value = {
        "rule = \"abc\"                       | aBc   | abd",
        "rule = %s\"aBc\"                     | aBc   | abc",
        "rule = %i\"aBc\"                     | AbC   | ab",
        "rule = %x61.62.63                    | abc   | abC",
        "rule = %d97                          | a     | A",
        "rule = %b1100001                     | a     | b",
        "rule = %x30-37                       | 7     | 8",
        "rule = %d97-99 %x41                  | cA    | dA",
        "rule = \"a\" (\"b\" / \"c\") \"d\"   | acd   | abcd",
        "rule = \"a\" \"b\" / \"c\" \"d\"     | cd    | abd",
        "rule = *\"a\" \"b\"                  | aaab  | aa",
        "rule = 2*3\"a\"                      | aaa   | aaaa",
        "rule = 2*3\"a\"                      | aa    | a",
        "rule = 2DIGIT                        | 12    | 123",
        "rule = *2\"a\" \"a\"                 | aaa   | aaaa",
        "rule = 1*(\"a\" [\"b\"])             | aab   | ba",
        "rule = [\"a\" [\"b\"]] \"c\"         | abc   | bc",
        "rule = *(*\"a\" *\"b\") \"c\"        | aababc| aabab",
        "rule = \"(\" *rule \")\"             | (()()) | (()",
        "rule = 4HEXDIG                       | 1aF9  | 1aG9",
        "rule = ALPHA / DIGIT                 | z     | -",
      })
  @DisplayName("What each form stands for, and what it does not")
  void forms(String grammar, String good, String bad) {
    assertTrue(matches(grammar, good), good);
    assertFalse(matches(grammar, bad), bad);
    assertFalse(matches(grammar, good + "\n"), "all of the text counts");
  }

  @Test
  @DisplayName("RFC 5234, section 3.3: =/ gives more choices")
  void moreChoices() {
    String grammar = "ruleset = \"1\" / \"2\"\nruleset =/ \"3\"\nRULE = *RuleSet ; of any case\n";
    assertTrue(matches(grammar, "1323"));
    assertFalse(matches(grammar, "14"));
  }

  @ParameterizedTest
  @ValueSource(
      strings = {
        "",
        "rule",
        "rule =",
        "rule = (\"a\"",
        "rule = \"a\")",
        "rule = \"a\" /",
        "rule = \"a",
        "rule = 3*2\"a\"",
        "rule = %x100",
        "rule = %q1",
        "rule = <in words>",
        "rule = nowhere",
        "rule = \"a\"\nrule = \"b\"",
        "rule =/ \"a\"",
        "digit = \"1\""
      })
  @DisplayName("What is not ABNF, or not whole, is said")
  void notAbnf(String text) {
    assertThrows(IllegalArgumentException.class, () -> Abnf.of(text));
  }

  @Test
  @DisplayName("A rule that begins with itself, or never ends, is said")
  void endless() {
    assertThrows(
        IllegalArgumentException.class,
        () -> matches("rule = [rule] \"a\"", "a"),
        "left-recursive");
    Abnf neverEnds = Abnf.of("rule = \"a\" rule");
    AbnfSentences sentences = new AbnfSentences(neverEnds, 1);
    assertThrows(IllegalArgumentException.class, () -> sentences.next("rule", 10));
  }

  @Test
  @DisplayName("RFC 5234, section 4: the grammar of ABNF is itself a sentence of it")
  void ofItself() {
    AbnfRecogniser recogniser = new AbnfRecogniser(Abnf.of(OF_ITSELF));
    String text = OF_ITSELF.replace("\n", "\r\n");
    assertTrue(recogniser.matches("rulelist", text));
    assertFalse(recogniser.matches("rulelist", text.replace("[repeat]", "[repeat")));
    assertFalse(recogniser.matches("rulelist", text + "x"));
  }

  @Test
  @DisplayName("Whatever is drawn from a grammar is recognised, and its spans are of their rules")
  void drawnIsRecognised() {
    long seed = new Random().nextLong();
    Abnf grammar = Abnf.of(OF_ITSELF);
    AbnfSentences sentences = new AbnfSentences(grammar, seed);
    AbnfRecogniser recogniser = new AbnfRecogniser(grammar);
    Set<String> used = new HashSet<>();
    for (int i = 0; i < 300; i++) {
      AbnfSentences.Sentence sentence = sentences.next("rulelist", 60);
      String where = "seed %d, sentence %d: %s".formatted(seed, i, sentence.text());
      assertTrue(recogniser.matches("rulelist", sentence.text()), where);
      for (AbnfSentences.Span span : sentence.spans()) {
        used.add(span.rule());
        assertTrue(recogniser.matches(span.rule(), sentence.text(span)), where + " " + span);
      }
    }
    Set<String> all = new HashSet<>(grammar.rules().keySet());
    all.removeAll(Set.of("char", "crlf", "ctl", "lf", "cr", "lwsp", "octet"));
    all.removeAll(used);
    assertEquals(Set.of(), all, "rules that were never used, seed " + seed);
  }

  @Test
  @DisplayName("The spans of a sentence are its derivation")
  void spans() {
    Abnf grammar = Abnf.of("pair = key \"=\" value\nkey = 1*3%x61-7A\nvalue = *DIGIT\n");
    AbnfSentences sentences = new AbnfSentences(grammar, 5);
    for (int i = 0; i < 200; i++) {
      AbnfSentences.Sentence sentence = sentences.next("PAIR", 100);
      String rebuilt = sentence.texts("key").get(0) + "=" + sentence.texts("value").get(0);
      assertEquals(sentence.text(), rebuilt);
      assertEquals(String.join("", sentence.texts("DIGIT")), sentence.texts("value").get(0));
    }
  }

  @Test
  @DisplayName("The same seed gives the same sentences; another gives others")
  void seeds() {
    Abnf grammar = Abnf.of(OF_ITSELF);
    List<AbnfSentences.Sentence> first = draw(new AbnfSentences(grammar, 7));
    assertEquals(first, draw(new AbnfSentences(grammar, 7)));
    assertFalse(first.equals(draw(new AbnfSentences(grammar, 8))));
  }

  private static List<AbnfSentences.Sentence> draw(AbnfSentences sentences) {
    return Stream.generate(() -> sentences.next("rule", 50)).limit(20).toList();
  }

  @Test
  @DisplayName("Sentences end, however deep and long the grammar could go")
  void bounds() {
    Abnf grammar = Abnf.of("rule = \"(\" *rule \")\" / \"[\" 1*rule \"]\" / \"x\"");
    AbnfSentences sentences = new AbnfSentences(grammar, new Random().nextLong());
    for (int i = 0; i < 300; i++) {
      int length = sentences.next("rule", 200).text().length();
      assertTrue(length < 400, "length " + length);
    }
  }

  @Test
  @DisplayName("The one block of a page that is ABNF")
  void page() {
    String page = "# x\n```\nno\n```\n```abnf\nrule = \"a\"\n     / \"b\"\n```\nmore\n";
    assertTrue(new AbnfRecogniser(Abnf.ofPage(page)).matches("rule", "b"));
    assertThrows(IllegalArgumentException.class, () -> Abnf.ofPage("no block"));
    assertThrows(IllegalArgumentException.class, () -> Abnf.ofPage(page + page));
  }
}
