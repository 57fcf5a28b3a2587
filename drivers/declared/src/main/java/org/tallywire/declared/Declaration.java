package org.tallywire.declared;

import java.io.ByteArrayOutputStream;
import java.nio.charset.StandardCharsets;
import java.time.Duration;
import java.util.Arrays;
import java.util.List;
import java.util.Map;
import java.util.Optional;
import org.tallywire.api.Command;
import org.tallywire.api.DriverDescription;
import org.tallywire.api.Example;
import org.tallywire.api.Instrument;

/**
 * All that a file says.
 *
 * @param description the driver as others see it
 * @param constants what the instrument does not say of itself
 * @param shape of its lines
 * @param numbers how it writes them
 * @param echo whether what is sent comes back
 * @param atStart asked once, when the link was opened
 * @param asks asked again and again
 * @param listens whether lines that nobody asked for count
 * @param silence without a line after which the instrument is silent, if that can be told
 * @param repeats the time within which a line that is the same is the same reading, if there is one
 * @param longestBlock lines of a block at most
 * @param rules of the lines
 * @param examples what it sends and what comes of it
 */
record Declaration(
    DriverDescription description,
    Instrument constants,
    LineShape shape,
    NumberStyle numbers,
    boolean echo,
    List<Question> atStart,
    List<Question> asks,
    boolean listens,
    Optional<Duration> silence,
    Optional<Duration> repeats,
    int longestBlock,
    List<LineRule> rules,
    List<Example> examples) {

  /** Tells whether several instruments share the line, each with an address. */
  boolean isAddressed() {
    return asks.stream().anyMatch(Question::isAddressed)
        || atStart.stream().anyMatch(Question::isAddressed);
  }

  /** Tells whether the instrument is asked who it is before anything else counts (DRV-11). */
  boolean asksWho() {
    return asksWho(atStart);
  }

  static boolean asksWho(List<Question> atStart) {
    return atStart.stream()
        .anyMatch(
            question ->
                question.answer() == Question.Answer.IDENTITY
                    && question.effect() == Command.Effect.QUERY);
  }

  /** Tells whether the first line after the opening may be half a line that looks whole (DRV-7). */
  boolean firstMayBeHalf() {
    return asks.isEmpty() && shape.check().isEmpty() && !shape.hasStart();
  }

  /** Returns the bytes of a question to an address. */
  byte[] bytes(Question question, String address) {
    ByteArrayOutputStream bytes = new ByteArrayOutputStream();
    for (Question.Part part : question.parts()) {
      if (part instanceof Question.Part.Fixed fixed) {
        bytes.writeBytes(fixed.bytes());
      } else if (part instanceof Question.Part.Address) {
        bytes.writeBytes(address.getBytes(StandardCharsets.ISO_8859_1));
      } else {
        shape.check().ifPresent(rule -> bytes.writeBytes(check(rule, bytes.toByteArray())));
      }
    }
    return bytes.toByteArray();
  }

  /** Returns the check value of a command, which covers what it would in an answer. */
  private byte[] check(CheckRule rule, byte[] before) {
    byte[] start = shape.start();
    int from = beginsWith(before, start) ? start.length : 0;
    byte[] behind = rule.behindEnd() ? shape.end() : rule.mark();
    int to = before.length;
    if (to - from >= behind.length
        && Arrays.equals(before, to - behind.length, to, behind, 0, behind.length)) {
      to -= behind.length;
    }
    return rule.writing().write(rule.of(start, Arrays.copyOfRange(before, from, to), shape.end()));
  }

  private static boolean beginsWith(byte[] bytes, byte[] start) {
    return bytes.length >= start.length
        && Arrays.equals(bytes, 0, start.length, start, 0, start.length);
  }

  /** Returns the constants for an address with the serial number that a station gives it. */
  Instrument instrument(Map<String, String> said, String serial) {
    return new Instrument(
        said.getOrDefault("maker", constants.maker()),
        said.getOrDefault("model", constants.model()),
        said.getOrDefault("serial", serial),
        said.getOrDefault("firmware", constants.firmware()));
  }
}
