package org.tallywire.declared;

import java.math.BigDecimal;
import java.time.DateTimeException;
import java.time.ZoneId;
import java.time.format.DateTimeFormatter;
import java.util.ArrayList;
import java.util.HashSet;
import java.util.LinkedHashMap;
import java.util.LinkedHashSet;
import java.util.List;
import java.util.Locale;
import java.util.Map;
import java.util.Optional;
import java.util.Set;
import java.util.function.Function;
import org.tallywire.api.ClockQuality;
import org.tallywire.api.Decimals;
import org.tallywire.api.Quantity;
import org.tallywire.api.Reading;
import org.tallywire.api.Unit;
import org.tallywire.api.Value;

/** Reads how the fields of a line become readings. */
final class ReadingReader {

  private static final long MOST_COUNT = 999_999_999;

  /** Units that people write otherwise than UCUM does. */
  private static final List<String> UNITS =
      List.of(
          "Ohm", "mOhm", "uOhm", "kOhm", "MOhm", "GOhm", "TOhm", "A", "mA", "uA", "V", "mV", "kV",
          "deg", "Cel", "Hz", "ms", "s", "W", "kW", "1", "%");

  private static final Map<String, String> OTHERWISE =
      Map.of("Ω", "Ohm", "°C", "Cel", "degC", "Cel", "°", "deg", "mΩ", "mOhm", "kΩ", "kOhm");

  private final Set<String> known;

  /** Reads for a rule that has these fields, or can remember them. */
  ReadingReader(Set<String> known) {
    this.known = known;
  }

  List<ReadingRule> readings(Section keys) {
    List<ReadingRule> readings = new ArrayList<>();
    if (keys.has("reading") && keys.has("readings")) {
      keys.problem("readings", "stands beside reading; put all into readings");
    }
    keys.section("reading").ifPresent(section -> readings.add(reading(section)));
    keys.list("readings").forEach(section -> readings.add(reading(section)));
    return readings;
  }

  private ReadingRule reading(Section keys) {
    List<ReadingRule.ValueRule> values = new ArrayList<>();
    Set<Quantity> quantities = new HashSet<>();
    for (Section section : keys.list("values")) {
      ReadingRule.ValueRule value = value(section);
      if (!quantities.add(value.quantity())) {
        section.problem("quantity", "stands twice in one reading; make two readings of it");
      }
      values.add(value);
    }
    if (values.isEmpty()) {
      keys.problem("values", "is missing; write values: with - {quantity: …, from: …, unit: …}");
    }
    List<ReadingRule.LabelRule> labels = new ArrayList<>();
    keys.section("labels")
        .ifPresent(
            section -> {
              for (String name : section.keys()) {
                labels.add(label(section, name));
              }
            });
    ReadingRule reading = new ReadingRule(values, labels, status(keys));
    keys.end();
    return reading;
  }

  private ReadingRule.ValueRule value(Section keys) {
    Optional<Quantity> quantity =
        keys.converted(
            "quantity",
            "a word of small letters, digits and hyphens",
            "winding-resistance",
            built(Quantity::new));
    if (!keys.has("quantity")) {
      keys.problem("quantity", "is missing; write quantity: winding-resistance");
    }
    Optional<Unit> unit = Optional.empty();
    String unitFrom = "";
    Map<String, Unit> units = new LinkedHashMap<>();
    if (keys.isSection("unit")) {
      Section section = keys.section("unit").orElseThrow();
      unitFrom = from(section);
      section
          .section("words")
          .ifPresentOrElse(
              words -> words.keys().forEach(k -> unit(words, k).ifPresent(u -> units.put(k, u))),
              () -> section.problem("words", "is missing; write words: {OHM: Ohm, MOHM: mOhm}"));
      section.end();
    } else {
      unit = unit(keys, "unit");
      if (!keys.has("unit")) {
        keys.problem("unit", "is missing; write a UCUM unit: unit: Ohm, or unit: 1 for a ratio");
      }
    }
    ReadingRule.ValueRule value =
        new ReadingRule.ValueRule(
            quantity.orElse(Quantity.WINDING_RESISTANCE),
            from(keys),
            unit,
            unitFrom,
            units,
            factor(keys),
            keys.section("numbers").map(LinesReader::numbers),
            keys.wordMap("words", Words.of(Value.Reason.values())),
            new LinkedHashSet<>(keys.texts("dropped")));
    keys.end();
    return value;
  }

  private static Optional<BigDecimal> factor(Section keys) {
    return keys.converted(
        "factor",
        "a decimal number other than 0",
        "0.001",
        text -> Decimals.parse(text).filter(factor -> factor.signum() != 0));
  }

  private static Optional<Unit> unit(Section keys, String key) {
    Optional<Unit> unit =
        keys.converted(
            key, "a UCUM unit of printable characters without blanks", "Ohm", built(Unit::new));
    Optional<String> text = keys.optionalText(key, "Ohm");
    String written = text.orElse("Ohm");
    List<String> meant = UNITS.stream().filter(u -> u.equalsIgnoreCase(written)).toList();
    if (OTHERWISE.containsKey(written)) {
      meant = List.of(OTHERWISE.getOrDefault(written, "Ohm"));
    }
    boolean capitals = !meant.isEmpty() && !UNITS.contains(written);
    if (capitals && unit.isPresent()) {
      keys.problem(
          key,
          "is \"%s\", which is no UCUM unit; write %s"
              .formatted(written, String.join(" or ", meant)));
    }
    return unit;
  }

  /** Returns a conversion by a constructor that refuses what cannot be. */
  private static <T> Function<String, Optional<T>> built(Function<String, T> constructor) {
    return text -> {
      try {
        return Optional.of(constructor.apply(text));
      } catch (IllegalArgumentException e) {
        return Optional.empty();
      }
    };
  }

  private ReadingRule.LabelRule label(Section labels, String name) {
    if (!name.matches("[a-z][a-z0-9-]{0,31}")) {
      labels.problem(
          name, "is no label; write small letters, digits and hyphens, such as windings");
    }
    if (!labels.isSection(name)) {
      Optional<String> constant = labels.optionalText(name, "winding-resistance");
      return new ReadingRule.LabelRule(name, constant, "", Map.of(), Set.of(), false);
    }
    Section keys = labels.section(name).orElseThrow();
    ReadingRule.LabelRule label =
        new ReadingRule.LabelRule(
            name,
            Optional.empty(),
            from(keys),
            keys.map("words", "HV-LV"),
            new LinkedHashSet<>(keys.texts("dropped")),
            keys.flag("whole", name.equals("tap") || name.equals("on-load-tap")));
    keys.end();
    return label;
  }

  private ReadingRule.StatusRule status(Section keys) {
    Map<String, Reading.Status> words = Words.of(Reading.Status.values());
    if (!keys.has("status")) {
      return new ReadingRule.StatusRule.Always(Reading.Status.OK);
    }
    if (!keys.isSection("status")) {
      return new ReadingRule.StatusRule.Always(
          keys.word("status", words).orElse(Reading.Status.OK));
    }
    Section section = keys.section("status").orElseThrow();
    if (section.has("words") == section.has("bits")) {
      section.problem(
          "words",
          "or bits is needed, one of them; write words: {OK: ok, HOLD: not-settled}, or for a"
              + " hexadecimal field bits: {0: not-settled, 7: ok}");
    }
    Map<String, Reading.Status> meanings = section.wordMap("words", words);
    Map<Integer, Reading.Status> bits = BitsReader.bits(section, words);
    String from = from(section);
    section.end();
    return bits.isEmpty()
        ? new ReadingRule.StatusRule.Words(from, meanings)
        : new ReadingRule.StatusRule.Bits(from, bits);
  }

  CountRule count(Section keys) {
    int first = keys.whole("first", 0, (int) MOST_COUNT, 1);
    int last = keys.whole("last", 1, (int) MOST_COUNT, (int) MOST_COUNT);
    int then = keys.whole("then", 0, (int) MOST_COUNT, first);
    if (last <= first || last <= then) {
      keys.problem(
          "last", "is not above first and then; write the last number before it begins again");
    }
    CountRule count = new CountRule(from(keys), first, last, then);
    keys.end();
    return count;
  }

  TimeRule time(Section keys) {
    List<String> from = keys.texts("from");
    if (from.isEmpty()) {
      keys.problem("from", "is missing; write from: time, or from: [date, time]");
    }
    from.forEach(field -> RuleReader.use(keys, "from", field, known));
    Optional<DateTimeFormatter> pattern =
        keys.converted(
            "pattern",
            "a pattern of date and time with hours and minutes",
            "\"yyyy-MM-dd HH:mm:ss\"",
            text -> built(p -> DateTimeFormatter.ofPattern(p, Locale.ROOT)).apply(text));
    if (!keys.has("pattern")) {
      keys.problem("pattern", "is missing; write pattern: \"yyyy-MM-dd HH:mm:ss\"");
    }
    Optional<ZoneId> zone = keys.converted("zone", "a time zone", "UTC", ReadingReader::zone);
    if (!keys.has("zone")) {
      keys.problem("zone", "is missing; write zone: UTC, or the shop's, such as Europe/Vienna");
    }
    Map<String, ClockQuality> clocks = Words.of(ClockQuality.values());
    clocks.keySet().retainAll(Set.of("free", "synchronised"));
    ClockQuality clock = keys.word("clock", clocks).orElse(ClockQuality.FREE);
    keys.end();
    return new TimeRule(
        from,
        pattern.orElse(DateTimeFormatter.ISO_LOCAL_DATE_TIME),
        zone.orElse(ZoneId.of("UTC")),
        clock);
  }

  private static Optional<ZoneId> zone(String text) {
    try {
      return Optional.of(ZoneId.of(text));
    } catch (DateTimeException e) {
      return Optional.empty();
    }
  }

  private String from(Section keys) {
    String field = keys.text("from", "value");
    if (!field.isEmpty()) {
      RuleReader.use(keys, "from", field, known);
    }
    return field;
  }
}
