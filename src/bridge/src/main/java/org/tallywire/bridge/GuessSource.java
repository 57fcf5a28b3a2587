package org.tallywire.bridge;

import java.io.ByteArrayOutputStream;
import java.io.IOException;
import java.nio.charset.StandardCharsets;
import java.nio.file.Files;
import java.nio.file.Path;
import java.util.ArrayList;
import java.util.Arrays;
import java.util.List;
import java.util.Optional;
import org.tallywire.api.Example.Turn;
import org.tallywire.link.CaptureEvent;
import org.tallywire.link.CaptureReader;

/**
 * What a meter said, to guess from.
 *
 * @param turns in order; what was sent before each answer, if anything was
 * @param where for people
 * @param echo whether what was sent came back, before each answer
 * @param remarks what was guessed of it, in sentences
 */
record GuessSource(List<Turn> turns, String where, boolean echo, List<String> remarks) {

  private static final long LARGEST = 4L << 20;
  private static final String CAPTURE = "# tallywire capture";

  /** Reads a capture file, or else a text of lines as they came. */
  static GuessSource read(Path file) throws IOException {
    if (Files.size(file) > LARGEST) {
      throw new IOException("%s is larger than %d MiB".formatted(file, LARGEST >> 20));
    }
    byte[] all = Files.readAllBytes(file);
    if (new String(all, StandardCharsets.ISO_8859_1).startsWith(CAPTURE)) {
      return capture(file);
    }
    return GuessTranscript.read(all, "the lines of " + file);
  }

  private static GuessSource capture(Path file) throws IOException {
    List<Turn> turns = new ArrayList<>();
    ByteArrayOutputStream asked = new ByteArrayOutputStream();
    ByteArrayOutputStream came = new ByteArrayOutputStream();
    try (CaptureReader reader = CaptureReader.open(file)) {
      for (Optional<CaptureEvent> e = reader.next(); e.isPresent(); e = reader.next()) {
        boolean sent = e.get().direction() == CaptureEvent.Direction.SENT;
        if (sent && came.size() > 0) {
          turns.add(new Turn(asked.toByteArray(), came.toByteArray()));
          asked.reset();
          came.reset();
        } else if (sent) {
          asked.reset(); // nobody answered the one before
        }
        (sent ? asked : came).writeBytes(e.get().bytes());
      }
    }
    if (came.size() > 0) {
      turns.add(new Turn(asked.toByteArray(), came.toByteArray()));
    }
    boolean echo =
        turns.stream().anyMatch(turn -> turn.asked().length > 0)
            && turns.stream()
                .allMatch(
                    turn ->
                        withoutEcho(turn).length < turn.answer().length
                            || turn.asked().length == 0);
    List<String> remarks =
        echo ? List.of("what is sent comes back before each answer: echo; sure") : List.of();
    return new GuessSource(turns, "the capture " + file, echo, remarks);
  }

  /** Returns what the meter said of itself, without what only came back. */
  byte[] answer(Turn turn) {
    return echo ? withoutEcho(turn) : turn.answer();
  }

  private static byte[] withoutEcho(Turn turn) {
    byte[] asked = turn.asked();
    byte[] answer = turn.answer();
    int end = asked.length;
    while (end > 0 && isLineEnd(asked[end - 1])) {
      end--;
    }
    if (end == 0 || answer.length < end || !Arrays.equals(asked, 0, end, answer, 0, end)) {
      return answer;
    }
    while (end < answer.length && isLineEnd(answer[end])) {
      end++;
    }
    return Arrays.copyOfRange(answer, end, answer.length);
  }

  private static boolean isLineEnd(byte b) {
    return b == '\r' || b == '\n';
  }

  /** Returns all that the meter said. */
  byte[] answers() {
    ByteArrayOutputStream all = new ByteArrayOutputStream();
    turns.forEach(turn -> all.writeBytes(answer(turn)));
    return all.toByteArray();
  }

  /** Tells whether something was asked. */
  boolean isAsked() {
    return turns.stream().anyMatch(turn -> turn.asked().length > 0);
  }

  /** Tells whether a question was asked once while others were asked again and again. */
  boolean isAtStart(Turn turn) {
    return turn.asked().length > 0
        && times(turn) == 1
        && turns.stream().anyMatch(t -> times(t) > 1);
  }

  private long times(Turn of) {
    return of.asked().length == 0
        ? 0
        : turns.stream().filter(turn -> Arrays.equals(turn.asked(), of.asked())).count();
  }

  /** Returns what the meter said to such questions. */
  byte[] answersAtStart() {
    ByteArrayOutputStream all = new ByteArrayOutputStream();
    turns.stream().filter(this::isAtStart).forEach(turn -> all.writeBytes(answer(turn)));
    return all.toByteArray();
  }
}
