package org.tallywire.line;

import java.nio.charset.StandardCharsets;
import java.util.HexFormat;
import java.util.LinkedHashMap;
import java.util.List;
import java.util.Locale;
import java.util.Map;
import org.tallywire.kit.AbnfSentences;

/**
 * A line that was drawn from the grammar of the page, with its right check value, and what must
 * come out: by its derivation, not by a parser.
 */
record Drawn(String body, String end, Outcome expect) {

  private static final int LONGEST = 240;
  private static final int CHECK_LENGTH = 5;

  static Drawn next(AbnfSentences sentences, int enough) {
    AbnfSentences.Sentence sentence = sentences.next("line", enough);
    AbnfSentences.Span check = sentence.of("check").get(0);
    String body = sentence.text().substring(0, check.from() - 1);
    String drawn = sentence.text(check);
    String right = PageReceiver.check(body);
    boolean lower = !drawn.equals(drawn.toUpperCase(Locale.ROOT));
    String end =
        "*"
            + (lower ? right.toLowerCase(Locale.ROOT) : right)
            + sentence.texts("terminator").get(0);
    return new Drawn(body, end, expect(sentence, body));
  }

  private static Outcome expect(AbnfSentences.Sentence sentence, String body) {
    List<String> keys = sentence.texts("key");
    List<AbnfSentences.Span> values = sentence.of("value");
    Map<String, String> fields = new LinkedHashMap<>();
    for (int i = 0; i < keys.size(); i++) {
      fields.put(keys.get(i), value(sentence, values.get(i)));
    }
    if (body.length() + CHECK_LENGTH > LONGEST) {
      return Outcome.fault("too-long");
    }
    return fields.size() < keys.size()
        ? Outcome.fault("syntax")
        : new Outcome.Line(body.charAt(0), sentence.texts("kind").get(0), fields);
  }

  /** Returns a value by what each part of it was derived from. */
  private static String value(AbnfSentences.Sentence sentence, AbnfSentences.Span value) {
    StringBuilder text = new StringBuilder();
    for (AbnfSentences.Span part : sentence.spans()) {
      boolean inside = part.from() >= value.from() && part.to() <= value.to();
      if (inside && part.rule().equals("plain")) {
        text.append(sentence.text(part));
      } else if (inside && part.rule().equals("escape")) {
        byte[] bytes = HexFormat.of().parseHex(sentence.text(part).replace("%", ""));
        text.append(new String(bytes, StandardCharsets.UTF_8));
      }
    }
    return text.toString();
  }

  byte[] bytes() {
    return Outcome.bytes(body + end);
  }

  boolean isLine() {
    return expect instanceof Outcome.Line;
  }
}
