package org.tallywire.declared;

import java.io.ByteArrayOutputStream;
import java.util.ArrayList;
import java.util.List;
import java.util.Map;
import java.util.Optional;
import java.util.regex.Pattern;
import org.tallywire.api.Decimals;
import org.tallywire.api.Example;
import org.tallywire.api.FaultCode;
import org.tallywire.api.Quantity;
import org.tallywire.api.Reading;
import org.tallywire.api.Unit;
import org.tallywire.api.Value;

/** Reads what the instrument sends and what is to come of it. */
final class ExampleReader {

  private static final Pattern WHOLE = Pattern.compile("[0-9]{1,18}");
  private static final byte[] NOTHING = new byte[0];
  private static final byte[] LINE_END = {'\r', '\n'};

  private final LineShape shape;
  private final List<LineRule> rules;
  private final boolean firstMayBeHalf;

  /** Reads for lines and rules; after an opening of which the first line may be half of one. */
  ExampleReader(LineShape shape, List<LineRule> rules, boolean firstMayBeHalf) {
    this.shape = shape;
    this.rules = rules;
    this.firstMayBeHalf = firstMayBeHalf;
  }

  List<Example> examples(Section top) {
    List<Example> examples = new ArrayList<>();
    for (Section keys : top.list("examples")) {
      example(keys).ifPresent(examples::add);
      keys.end();
    }
    return examples;
  }

  private Optional<Example> example(Section keys) {
    String name = keys.text("name", "a reading");
    List<Example.Turn> turns = new ArrayList<>();
    for (Section section : keys.list("turns")) {
      byte[] asked = section.bytes("asked", "\"READ?\\r\\n\"").orElse(NOTHING);
      byte[] sent = sent(section);
      turns.add(new Example.Turn(asked, turns.isEmpty() ? behindALine(sent) : sent));
      section.end();
    }
    if (turns.isEmpty()) {
      keys.problem("turns", "is missing; write turns: with - sent: \"1.234 OHM\\r\\n\"");
    }
    List<Example.Expected> gives = new ArrayList<>();
    keys.list("gives").forEach(section -> gives.add(expected(section)));
    Optional<FaultCode> fault = keys.word("fault", Words.of(FaultCode.values()));
    if (!keys.has("gives") && fault.isEmpty()) {
      keys.problem(
          "gives",
          "is missing, and fault too; write what comes of the turns, or gives: [] for nothing");
    }
    return turns.isEmpty() ? Optional.empty() : Optional.of(new Example(name, turns, gives, fault));
  }

  /** Puts the end of a line that was under way before what is sent, where that matters (DRV-7). */
  private byte[] behindALine(byte[] sent) {
    if (!firstMayBeHalf) {
      return sent;
    }
    ByteArrayOutputStream all = new ByteArrayOutputStream();
    all.writeBytes(shape.endsAnyhow() ? LINE_END : shape.end());
    all.writeBytes(sent);
    return all.toByteArray();
  }

  private static byte[] sent(Section keys) {
    ByteArrayOutputStream all = new ByteArrayOutputStream();
    if (!keys.has("sent")) {
      keys.problem("sent", "is missing; write sent: \"1.234 OHM\\r\\n\", or \"\" for no answer");
    } else if (keys.isList("sent")) {
      for (String piece : keys.texts("sent")) {
        Bytes.read(piece)
            .ifPresentOrElse(
                all::writeBytes,
                () ->
                    keys.problem(
                        "sent", "has a character or escape that is no byte; write \\x00 to \\xFF"));
      }
    } else {
      keys.bytes("sent", "\"1.234 OHM\\r\\n\"").ifPresent(all::writeBytes);
    }
    return all.toByteArray();
  }

  private Example.Expected expected(Section keys) {
    List<Value> values = new ArrayList<>();
    Optional<Section> section = keys.section("values");
    if (section.isPresent()) {
      for (String quantity : section.get().keys()) {
        value(section.get(), quantity).ifPresent(values::add);
      }
    }
    if (section.isEmpty() || section.get().keys().isEmpty()) {
      keys.problem("values", "is missing; write values: {winding-resistance: 1.234 Ohm}");
    }
    Map<String, String> labels = keys.map("labels", "HV");
    Reading.Status status =
        keys.word("status", Words.of(Reading.Status.values())).orElse(Reading.Status.OK);
    Optional<Example.Place> place = place(keys);
    keys.end();
    return new Example.Expected(labels, values, status, place);
  }

  private static Optional<Example.Place> place(Section keys) {
    Optional<Long> number = keys.converted("number", "a whole number", "17", ExampleReader::whole);
    Optional<List<Long>> missing =
        keys.converted(
            "gap",
            "a number that is missing, or the first and the last one",
            "18-19",
            text -> {
              String[] ends = text.split("-", 2);
              Optional<Long> first = whole(ends[0]);
              Optional<Long> last = whole(ends[ends.length - 1]);
              return first.isPresent() && last.isPresent() && first.get() <= last.get()
                  ? Optional.of(List.of(first.get(), last.get()))
                  : Optional.empty();
            });
    boolean restart = keys.flag("restart", false);
    boolean said = number.isPresent() || missing.isPresent() || restart;
    return said
        ? Optional.of(new Example.Place(number, missing.orElse(List.of()), restart))
        : Optional.empty();
  }

  private static Optional<Long> whole(String text) {
    return WHOLE.matcher(text).matches() ? Optional.of(Long.valueOf(text)) : Optional.empty();
  }

  private Optional<Value> value(Section keys, String quantity) {
    return keys.converted(
        quantity,
        "a number, or a word such as over-range, and a unit",
        "1.234 Ohm",
        text -> {
          String[] parts = text.split(" ", -1);
          try {
            if (parts.length != 2) {
              return Optional.empty();
            }
            Quantity of = new Quantity(quantity);
            Unit unit = new Unit(parts[1]);
            Optional<Value> missing =
                Value.Reason.of(parts[0]).map(r -> new Value.Missing(of, unit, r));
            return missing.or(() -> measured(keys, of, unit, parts[0]));
          } catch (IllegalArgumentException e) {
            return Optional.empty();
          }
        });
  }

  private Optional<Value> measured(Section keys, Quantity of, Unit unit, String number) {
    boolean known =
        rules.stream()
            .flatMap(rule -> rule.readings().stream())
            .flatMap(reading -> reading.values().stream())
            .anyMatch(v -> v.quantity().equals(of) && v.canBeIn(unit));
    if (!known) {
      keys.problem(
          of.name(), "in %s is not what any rule gives; write a unit of the rules".formatted(unit));
    }
    return Decimals.parse(number).map(n -> new Value.Measured(of, n, unit));
  }
}
