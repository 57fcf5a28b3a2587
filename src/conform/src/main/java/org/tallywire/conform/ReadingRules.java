package org.tallywire.conform;

import java.math.BigDecimal;
import java.time.DateTimeException;
import java.time.Instant;
import java.util.HashMap;
import java.util.List;
import java.util.Map;
import java.util.Optional;
import java.util.OptionalLong;
import java.util.regex.Pattern;
import java.util.zip.CRC32C;
import org.tallywire.api.Decimals;
import org.tallywire.line.LineMessage;

/** What must stand in every reading, wherever in the run it was heard (section 5). */
final class ReadingRules {

  static final String CLOCK = "every clock and time is right";

  private static final String READING = "every !reading has number, clock, status and values";
  private static final String VALUES = "every value is a decimal or a word";
  private static final String LABELS = "every label is right";
  private static final String LOST = "every !lost states what it must";
  private static final String DIGEST = "every digest is right and at the end";
  private static final List<String> CLOCKS = List.of("none", "relative", "free", "synchronised");
  private static final List<String> STATUS = List.of("ok", "not-settled", "suspect", "aborted");
  private static final List<String> WORDS =
      List.of("over-range", "under-range", "open", "invalid", "aborted");
  private static final Pattern VALUE_KEY = Pattern.compile("v[0-9]+");
  private static final Pattern NUMBER = Pattern.compile("v[1-9][0-9]?");
  private static final Pattern UTC =
      Pattern.compile("[0-9]{4}-[0-9]{2}-[0-9]{2}T[0-9]{2}:[0-9]{2}:[0-9]{2}(\\.[0-9]{1,9})?Z");
  private static final Pattern SECOND_60 = Pattern.compile(".*T[0-9]{2}:[0-9]{2}:60.*");
  private static final Pattern DIGEST_END =
      Pattern.compile("(.*) digest=([0-9A-F]{8})( resent=1)?\\*[0-9A-Fa-f]{4}");

  /** No quantity of a transformer, in no unit, has so many digits before the point. */
  private static final BigDecimal ABSURD = new BigDecimal("1E18");

  private final Notes notes;
  private final Map<Long, Channel> channels = new HashMap<>();
  private boolean saysDigest;

  private record Channel(Optional<BigDecimal> min, Optional<BigDecimal> max) {}

  ReadingRules(Notes notes) {
    this.notes = notes;
  }

  void hello(LineMessage line) {
    saysDigest = List.of(line.text("can").orElse("").split(",", -1)).contains("digest");
  }

  void listed(long number, Optional<BigDecimal> min, Optional<BigDecimal> max) {
    channels.put(number, new Channel(min, max));
  }

  void reading(LineMessage line, String text) {
    notes.held(READING, "L-20a", "L-20b", "L-20d");
    HeardFields fields = new HeardFields(line, text, notes, READING);
    fields.must("boot", "L-20a");
    fields.whole("seq", 1, Long.MAX_VALUE, "L-20a");
    fields.must("status", STATUS::contains, "one of " + String.join(", ", STATUS), "L-20d");
    fields.may("resent", "1"::equals, "1", "L-24c");
    clock(line, text, "L-20b");
    notes.held(CLOCK, "L-20b", "L-20c");
    values(line, text);
    labels(line, text);
    digest(line, text);
  }

  void lost(LineMessage line, String text) {
    notes.held(LOST, "L-26a");
    HeardFields fields = new HeardFields(line, text, notes, LOST);
    fields.must("boot", "L-26a");
    OptionalLong from = fields.whole("from", 1, Long.MAX_VALUE, "L-26a");
    fields.whole("to", from.orElse(1), Long.MAX_VALUE, "L-26a");
    digest(line, text);
  }

  /** Looks at {@code clock} and the time that it asks for. */
  void clock(LineMessage line, String text, String citation) {
    HeardFields fields = new HeardFields(line, text, notes, CLOCK);
    Optional<String> clock =
        fields.must("clock", CLOCKS::contains, "one of " + String.join(", ", CLOCKS), citation);
    switch (clock.orElse("")) {
      case "relative" -> fields.whole("uptime", 0, Long.MAX_VALUE, "L-20b");
      case "free", "synchronised" -> fields.must("at", "L-20c").ifPresent(at -> at(fields, at));
      default -> {}
    }
  }

  private static void at(HeardFields fields, String at) {
    if (SECOND_60.matcher(at).matches()) {
      fields.broken("L-20c", "at=%s has a second 60; a leap second repeats 59".formatted(at));
    } else if (!UTC.matcher(at).matches() || !isInstant(at)) {
      fields.broken(
          "L-20c",
          "at=%s is not a time in UTC like 2026-11-25T09:00:01.250Z, Z included, at most 9 decimals"
              .formatted(at));
    }
  }

  private static boolean isInstant(String at) {
    try {
      return Instant.parse(at).isAfter(Instant.MIN);
    } catch (DateTimeException e) {
      return false;
    }
  }

  private void values(LineMessage line, String text) {
    HeardFields fields = new HeardFields(line, text, notes, VALUES);
    notes.held(VALUES, "L-22a", "L-22b", "L-22c", "L-22d");
    boolean any = false;
    for (Map.Entry<String, String> field : line.fields().entrySet()) {
      String key = field.getKey();
      if (VALUE_KEY.matcher(key).matches()) {
        any = true;
        Optional<Channel> channel =
            NUMBER.matcher(key).matches()
                ? Optional.ofNullable(channels.get(Long.valueOf(key.substring(1))))
                : Optional.empty();
        if (channel.isEmpty()) {
          fields.broken("L-22d", "%s is of a channel that was not listed".formatted(key));
        } else {
          value(fields, key, field.getValue(), channel.get());
        }
      }
    }
    if (!any) {
      fields.broken("L-22c", "a reading without any value");
    }
  }

  private static void value(HeardFields fields, String key, String value, Channel channel) {
    Optional<BigDecimal> number = Decimals.parse(value);
    if (number.isEmpty()) {
      if (!WORDS.contains(value)) {
        fields.broken(
            "L-22a",
            "%s=%s is neither a decimal without exponent nor one of %s"
                .formatted(key, value, String.join(", ", WORDS)));
      }
      return;
    }
    boolean outside =
        channel.max().filter(max -> number.get().compareTo(max) > 0).isPresent()
            || channel.min().filter(min -> number.get().compareTo(min) < 0).isPresent()
            || number.get().abs().compareTo(ABSURD) >= 0;
    if (outside) {
      fields.broken(
          "L-22b",
          "%s=%s is outside what the channel can measure; say over-range or under-range instead"
              .formatted(key, value));
    }
  }

  private void labels(LineMessage line, String text) {
    HeardFields fields = new HeardFields(line, text, notes, LABELS);
    String word = "[a-z0-9]+(-[a-z0-9]+)*";
    boolean any = fields.may("test", v -> v.matches(word), "a word", "L-21b").isPresent();
    any |= fields.may("windings", v -> !v.isBlank(), "a name", "L-21b").isPresent();
    any |= fields.may("phase", v -> v.matches("[ABC]"), "A, B or C", "L-21b").isPresent();
    any |= fields.may("tap", v -> !v.isBlank(), "a position", "L-21b").isPresent();
    if (any) {
      notes.held(LABELS, "L-21a", "L-21b");
    }
  }

  private void digest(LineMessage line, String text) {
    HeardFields fields = new HeardFields(line, text, notes, DIGEST);
    if (line.text("digest").isEmpty()) {
      if (saysDigest) {
        fields.broken("L-33a", "no digest, but the hello says can=digest");
      }
      return;
    }
    notes.held(DIGEST, "L-33a", "L-33b");
    if (!saysDigest) {
      fields.broken("L-13c", "a digest, but the hello does not say can=digest");
    }
    var end = DIGEST_END.matcher(text);
    if (!end.matches()) {
      fields.broken(
          "L-33b",
          "digest is not eight upper-case hexadecimal digits at the end, with resent alone after it");
      return;
    }
    CRC32C crc = new CRC32C();
    crc.update(Wire.bytes(end.group(1)));
    String right = "%08X".formatted(crc.getValue());
    if (!right.equals(end.group(2))) {
      fields.broken(
          "L-33a",
          "digest=%s, but the bytes before \" digest=\" give %s".formatted(end.group(2), right));
    }
  }
}
