package org.tallywire.scpi;

import java.math.BigDecimal;
import java.time.Duration;
import java.util.List;
import java.util.Map;
import java.util.Optional;
import java.util.regex.Pattern;
import org.tallywire.api.DriverDescription.Setting;

/**
 * What a station's configuration says of its instrument.
 *
 * @param query asks for a reading and starts none
 * @param fields what its answer means
 * @param missed asks for the reading {@value #NUMBER} of those that the instrument still has, or
 *     for all of them as a block
 * @param every from reading to reading
 * @param answer how long an answer may take
 * @param repeats whether an answer without a number that equals the one before is a reading
 * @param end of a message to the instrument
 */
record ScpiSettings(
    String query,
    Fields fields,
    Optional<String> missed,
    Duration every,
    Duration answer,
    boolean repeats,
    String end) {

  static final String NUMBER = "{number}";

  static final List<Setting> KNOWN =
      List.of(
          new Setting(
              "query",
              "asks for the newest reading without starting a measurement, for example"
                  + " FETCh?;:DATA:LABel?",
              "FETCh?"),
          new Setting(
              "fields",
              "what the elements of the answer are, in order: "
                  + Field.GRAMMAR
                  + "; for example: number, turns-ratio 1, excitation-current mA times 1000, -,"
                  + " label phase, status",
              ""),
          new Setting(
              "missed",
              "asks for a reading that was missed, {number} in the place of its number, or for all"
                  + " that are stored as a block of lines, each with the same fields; - for none",
              "-"),
          new Setting("every", "seconds from question to question, 0.1 to 86400", "1"),
          new Setting("answer", "seconds that an answer may take, 0.1 to 600", "3"),
          new Setting(
              "repeats",
              "whether an answer without a number that is the same as the one before is a reading"
                  + " (keep) or the same reading again (drop)",
              "drop"),
          new Setting("end", "how a message to the instrument ends: lf, cr or crlf", "lf"));

  private static final Pattern SECONDS = Pattern.compile("[0-9]{1,5}(\\.[0-9]{1,3})?");
  private static final Pattern MESSAGE = Pattern.compile("[ -~]{2,200}");
  private static final BigDecimal LEAST = new BigDecimal("0.1");

  /**
   * Reads them.
   *
   * @throws IllegalArgumentException with a sentence that says which cannot be so, and why
   */
  static ScpiSettings of(Map<String, String> settings) {
    String missed = text(settings, "missed");
    Fields fields = fields(text(settings, "fields"));
    if (!missed.equals("-") && !fields.numbered()) {
      throw new IllegalArgumentException(
          "\"missed\" needs \"number\" among the fields: without it nobody knows what was missed");
    }
    return new ScpiSettings(
        question("query", text(settings, "query")),
        fields,
        missed.equals("-") ? Optional.empty() : Optional.of(question("missed", missed)),
        seconds(settings, "every", 86_400),
        seconds(settings, "answer", 600),
        word(settings, "repeats", Map.of("keep", true, "drop", false)),
        word(settings, "end", Map.of("lf", "\n", "cr", "\r", "crlf", "\r\n")));
  }

  private static Fields fields(String written) {
    try {
      return Fields.of(written);
    } catch (IllegalArgumentException wrong) {
      throw new IllegalArgumentException("\"fields\": " + wrong.getMessage(), wrong);
    }
  }

  private static String question(String name, String message) {
    if (!MESSAGE.matcher(message).matches()) {
      throw new IllegalArgumentException(
          "\"%s\" is 2 to 200 characters of printable ASCII, not \"%s\"".formatted(name, message));
    }
    Optional<String> measuring = Effects.measuring(message.replace(NUMBER, "1"));
    if (measuring.isPresent()) {
      throw new IllegalArgumentException(
          ("\"%s\": %s. It is declared as measuring, and this version sends no such message, because"
                  + " nobody can confirm it at the bench yet; start the measurement at the"
                  + " instrument and ask for its result, for example with FETCh?")
              .formatted(name, measuring.get()));
    }
    return message;
  }

  private static Duration seconds(Map<String, String> settings, String name, int most) {
    String written = text(settings, name);
    if (SECONDS.matcher(written).matches()) {
      BigDecimal seconds = new BigDecimal(written);
      if (seconds.compareTo(LEAST) >= 0 && seconds.compareTo(BigDecimal.valueOf(most)) <= 0) {
        return Duration.ofMillis(seconds.movePointRight(3).longValue());
      }
    }
    throw new IllegalArgumentException(
        "\"%s\" is seconds, 0.1 to %d, not \"%s\"".formatted(name, most, written));
  }

  private static <T> T word(Map<String, String> settings, String name, Map<String, T> words) {
    T meant = words.get(text(settings, name));
    if (meant == null) {
      throw new IllegalArgumentException(
          "\"%s\" is %s, not \"%s\""
              .formatted(
                  name,
                  String.join(" or ", words.keySet().stream().sorted().toList()),
                  text(settings, name)));
    }
    return meant;
  }

  private static String text(Map<String, String> settings, String name) {
    return settings.getOrDefault(name, "").strip();
  }
}
