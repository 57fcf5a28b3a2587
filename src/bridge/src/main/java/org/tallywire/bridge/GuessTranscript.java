package org.tallywire.bridge;

import java.nio.charset.StandardCharsets;
import java.util.ArrayList;
import java.util.List;
import java.util.regex.Pattern;
import org.tallywire.api.Example.Turn;

/**
 * A text of lines as they came, in which what was sent may stand too: behind {@code >} where
 * answers stand behind {@code <}, or as lines that end with a question mark.
 */
final class GuessTranscript {

  private static final Pattern QUESTION =
      Pattern.compile("[>$]? ?\\*?[A-Za-z][A-Za-z0-9:*_ ]{0,40}\\?");
  private static final byte[] NOTHING = new byte[0];

  private GuessTranscript() {}

  static GuessSource read(byte[] content, String where) {
    String text = new String(content, StandardCharsets.ISO_8859_1);
    List<String> lines = List.of(text.split("(?<=\n)|(?<=\r)(?!\n)"));
    List<String> said = lines.stream().filter(line -> !line.isBlank()).toList();
    boolean arrows =
        said.stream().allMatch(l -> l.startsWith(">") || l.startsWith("<"))
            && said.stream().anyMatch(l -> l.startsWith(">"))
            && said.stream().anyMatch(l -> l.startsWith("<"));
    List<Turn> turns = new ArrayList<>();
    StringBuilder answer = new StringBuilder();
    String asked = "";
    for (String line : arrows ? said : lines) {
      String bare = arrows ? line.substring(1).replaceFirst("^ ", "") : line;
      if (arrows ? line.startsWith(">") : QUESTION.matcher(line.strip()).matches()) {
        add(turns, asked, answer);
        asked = bare.strip().replaceFirst("^[>$] ?", "");
      } else {
        answer.append(bare);
      }
    }
    add(turns, asked, answer);
    boolean isAsked = turns.stream().anyMatch(turn -> turn.asked().length > 0);
    return isAsked
        ? new GuessSource(turns, where, false, List.of(remark(turns)))
        : new GuessSource(List.of(new Turn(NOTHING, content)), where, false, List.of());
  }

  private static String remark(List<Turn> turns) {
    List<String> questions =
        turns.stream()
            .map(turn -> new String(turn.asked(), StandardCharsets.ISO_8859_1).strip())
            .filter(text -> !text.isEmpty())
            .distinct()
            .toList();
    return "%s look like what was sent, not like what came; CR LF behind it is not sure. If the meter sends it back, write echo: true under lines"
        .formatted(questions);
  }

  private static void add(List<Turn> turns, String asked, StringBuilder answer) {
    if (!answer.toString().isBlank()) {
      byte[] question =
          asked.isEmpty() ? NOTHING : (asked + "\r\n").getBytes(StandardCharsets.ISO_8859_1);
      turns.add(new Turn(question, answer.toString().getBytes(StandardCharsets.ISO_8859_1)));
    }
    answer.setLength(0);
  }
}
