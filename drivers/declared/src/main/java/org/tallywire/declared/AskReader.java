package org.tallywire.declared;

import java.time.Duration;
import java.util.ArrayList;
import java.util.List;
import java.util.Map;
import java.util.Optional;
import java.util.TreeMap;
import java.util.regex.Matcher;
import java.util.regex.Pattern;
import org.tallywire.api.Command;

/** Reads what is sent and what answers it. */
final class AskReader {

  private static final Duration SHORTEST = Duration.ofMillis(10);
  private static final Duration MINUTE = Duration.ofMinutes(1);
  private static final Duration DAY = Duration.ofHours(24);
  private static final int MOST_LINES = 200;
  private static final Pattern PLACE = Pattern.compile("\\{([^{}]*)}");
  private static final Map<String, Question.Answer> ANSWERS =
      new TreeMap<>(
          Map.of(
              "none", Question.Answer.NONE,
              "reading", Question.Answer.READING,
              "identity", Question.Answer.IDENTITY,
              "block", Question.Answer.BLOCK));

  private AskReader() {}

  /** Reads the questions at the start, or those that are asked again and again. */
  static List<Question> questions(Section top, String key, boolean atStart) {
    List<Question> questions = new ArrayList<>();
    for (Section keys : top.list(key)) {
      questions.add(question(keys, atStart));
      keys.end();
    }
    return questions;
  }

  private static Question question(Section keys, boolean atStart) {
    Map<String, Command.Effect> effects = Words.of(Command.Effect.values());
    if (!keys.has("effect")) {
      keys.problem(
          "effect",
          "is missing; write effect: query, or effect: measure if it may put a voltage or current on"
              + " the terminals");
    }
    Command.Effect effect = keys.word("effect", effects).orElse(Command.Effect.QUERY);
    if (atStart && effect == Command.Effect.MEASURE) {
      keys.problem(
          "effect", "is measure at the start; nothing may measure unasked: move it to ask");
    }
    Optional<String> answer = keys.optionalText("answer", "1");
    Optional<Integer> lines =
        answer.filter(text -> text.matches("[0-9]{1,5}")).flatMap(t -> lines(keys));
    Question.Answer kind = Question.Answer.LINES;
    if (lines.isEmpty()) {
      kind = atStart ? Question.Answer.NONE : Question.Answer.READING;
      if (answer.isPresent() && !answer.get().matches("[0-9]{1,5}")) {
        kind = keys.word("answer", ANSWERS).orElse(kind);
      }
    }
    return new Question(
        parts(keys),
        effect,
        kind,
        lines.orElse(0),
        keys.duration("within", SHORTEST, MINUTE, Duration.ofSeconds(1)),
        keys.whole("tries", 1, 20, 3),
        keys.duration("pause", Duration.ZERO, MINUTE, Duration.ZERO),
        atStart ? DAY : keys.duration("every", SHORTEST, DAY, Duration.ofSeconds(1)));
  }

  private static Optional<Integer> lines(Section keys) {
    return keys.optionalWhole("answer", 1, MOST_LINES, 1);
  }

  private static List<Question.Part> parts(Section keys) {
    List<Question.Part> parts = new ArrayList<>();
    String text = keys.text("send", "\"READ?\\r\\n\"");
    Matcher place = PLACE.matcher(text);
    int from = 0;
    while (place.find()) {
      fixed(keys, text.substring(from, place.start()), parts);
      from = place.end();
      switch (place.group(1)) {
        case "address" -> parts.add(new Question.Part.Address());
        case "check" -> parts.add(new Question.Part.Check());
        default ->
            keys.problem(
                "send",
                "has {%s}; %s. For the character itself write \\x7B"
                    .formatted(
                        Bytes.written(place.group(1)),
                        Words.choice(place.group(1), List.of("address", "check"))));
      }
    }
    fixed(keys, text.substring(from), parts);
    return parts;
  }

  private static void fixed(Section keys, String text, List<Question.Part> parts) {
    Optional<byte[]> bytes = Bytes.read(text);
    if (bytes.isEmpty()) {
      keys.problem(
          "send",
          "has a character or escape that is no byte; write \\r \\n \\t \\\\ or \\x00 to \\xFF");
    } else if (bytes.get().length > 0) {
      parts.add(new Question.Part.Fixed(bytes.get()));
    }
  }
}
