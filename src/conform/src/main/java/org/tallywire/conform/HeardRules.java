package org.tallywire.conform;

import java.math.BigDecimal;
import java.util.Optional;
import java.util.OptionalLong;
import org.tallywire.line.LineMessage;

/** What each kind of line from an instrument must have, in every line heard (section 8). */
final class HeardRules {

  static final String BOOT_ID = "[A-Za-z0-9_-]{1,32}";

  private static final String HELLO = "every <hello states what it must";
  private static final String CHANNEL = "every <channel states what it must";
  private static final String OK = "every <ok states what it must";
  private static final String ERROR = "every <error has a code of three digits";
  private static final String BEAT = "every !beat states what it must";
  private static final String TEXTS = "no text has more than 64 characters";
  private static final String VERSION = "(0|[1-9][0-9]{0,8})\\.(0|[1-9][0-9]{0,8})";

  private final Notes notes;
  private final ReadingRules readings;
  private boolean saysFirst = true;

  HeardRules(Notes notes) {
    this.notes = notes;
    this.readings = new ReadingRules(notes);
  }

  /** Looks at one line. */
  void heard(LineMessage line, String text) {
    texts(line, text);
    switch (line.mark() + line.kind()) {
      case "<hello" -> hello(line, new HeardFields(line, text, notes, HELLO));
      case "<channel" -> channel(new HeardFields(line, text, notes, CHANNEL));
      case "<ok" -> ok(new HeardFields(line, text, notes, OK));
      case "<clock" -> {
        readings.clock(line, text, "L-34b");
        notes.held(ReadingRules.CLOCK, "L-34b");
      }
      case "<error" -> error(new HeardFields(line, text, notes, ERROR));
      case "!start" -> boot(new HeardFields(line, text, notes, "every !start"), "L-15a");
      case "!reading" -> readings.reading(line, text);
      case "!lost" -> readings.lost(line, text);
      case "!beat" -> beat(new HeardFields(line, text, notes, BEAT));
      default -> {}
    }
  }

  private void texts(LineMessage line, String text) {
    HeardFields fields = new HeardFields(line, text, notes, TEXTS);
    for (String key :
        new String[] {
          "maker", "model", "serial", "firmware", "text", "test", "windings", "phase", "tap"
        }) {
      fields.mayText(key);
    }
    if (line.text("maker").isPresent() || line.text("text").isPresent()) {
      notes.held(TEXTS, "L-31a");
    }
  }

  private void hello(LineMessage line, HeardFields fields) {
    notes.held(HELLO, "L-13a", "L-13b");
    fields.must("version", v -> v.matches(VERSION), "major.minor", "L-13a");
    saysFirst = !"1.0".equals(line.fields().get("version"));
    for (String key : new String[] {"maker", "model", "firmware"}) {
      fields.must(key, "L-13a");
    }
    fields.must("serial", v -> !v.isBlank(), "a number of its own", "L-13b");
    boot(fields, "L-13a");
    fields.whole("line", 100, 240, "L-13a");
    fields.whole("store", 1, 1_000_000_000, "L-13a");
    fields.whole("beat", 100, 600_000, "L-13a");
    readings.hello(line);
  }

  private static void boot(HeardFields fields, String citation) {
    fields.must("boot", v -> v.matches(BOOT_ID), "1 to 32 of A-Za-z0-9_-", citation);
  }

  private void channel(HeardFields fields) {
    notes.held(CHANNEL, "L-17a");
    OptionalLong of = fields.whole("of", 1, 99, "L-17a");
    fields.whole("n", 1, of.orElse(99), "L-17a");
    OptionalLong ch = fields.whole("ch", 1, 99, "L-17a");
    fields.must("quantity", v -> !v.isBlank(), "the name of a quantity", "L-17a");
    fields.must("unit", v -> !v.isBlank(), "a UCUM code (1 for none)", "L-17a");
    fields.mayDecimal("resolution", "L-17a");
    Optional<BigDecimal> min = fields.mayDecimal("min", "L-17a");
    Optional<BigDecimal> max = fields.mayDecimal("max", "L-17a");
    if (min.isPresent() && max.isPresent() && min.get().compareTo(max.get()) > 0) {
      fields.broken("L-17a", "min is above max");
    }
    ch.ifPresent(number -> readings.listed(number, min, max));
  }

  private void ok(HeardFields fields) {
    if (saysFirst) {
      notes.held(OK, "L-19b");
      OptionalLong last = fields.whole("last", 0, Long.MAX_VALUE, "L-19b");
      OptionalLong first = fields.whole("first", 1, Long.MAX_VALUE, "L-19b");
      if (last.isPresent() && first.isPresent() && first.getAsLong() > last.getAsLong() + 1) {
        fields.broken(
            "L-19b", "first is beyond last + 1, the number that the next reading will have");
      }
    }
  }

  private void error(HeardFields fields) {
    notes.held(ERROR, "L-30a");
    fields.whole("code", 100, 999, "L-30a");
  }

  private void beat(HeardFields fields) {
    notes.held(BEAT, "L-28a");
    boot(fields, "L-28a");
    fields.whole("last", 0, Long.MAX_VALUE, "L-28a");
    fields.whole("held", 0, Long.MAX_VALUE, "L-28a");
    fields.may("damaged", v -> HeardFields.isWhole(v, 0, Long.MAX_VALUE), "a whole number", "L-8b");
  }
}
