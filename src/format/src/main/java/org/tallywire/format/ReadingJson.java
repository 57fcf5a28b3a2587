package org.tallywire.format;

import com.fasterxml.jackson.databind.JsonNode;
import com.fasterxml.jackson.databind.node.ArrayNode;
import com.fasterxml.jackson.databind.node.ObjectNode;
import java.math.BigDecimal;
import java.util.ArrayList;
import java.util.LinkedHashMap;
import java.util.List;
import java.util.Map;
import java.util.Optional;
import java.util.regex.Pattern;
import org.tallywire.api.ClockQuality;
import org.tallywire.api.Instrument;
import org.tallywire.api.Quantity;
import org.tallywire.api.Reading;
import org.tallywire.api.RecordedReading;
import org.tallywire.api.SequenceNumber;
import org.tallywire.api.Unit;
import org.tallywire.api.Value;

/** Readings to and from JSON ({@code shared/schema/reading.schema.json}). */
final class ReadingJson {

  private static final Pattern POSITION = Pattern.compile("0|[1-9][0-9]{0,5}");

  private ReadingJson() {}

  static ObjectNode write(RecordedReading recorded) {
    Reading reading = recorded.reading();
    ObjectNode node = Json.record("reading", recorded.id(), recorded.station());
    node.set("instrument", instrument(reading.instrument()));
    reading
        .sequence()
        .ifPresent(
            s ->
                node.putObject("sequence")
                    .put("epoch", s.epoch())
                    .put("number", s.number())
                    .put("part", reading.part()));
    ObjectNode labels = node.putObject("labels");
    reading
        .labels()
        .forEach(
            (key, value) -> {
              if (key.equals("tap") && POSITION.matcher(value).matches()) {
                labels.put(key, Integer.parseInt(value));
              } else {
                labels.put(key, value);
              }
            });
    ArrayNode values = node.putArray("values");
    reading.values().forEach(value -> values.add(value(value)));
    node.put("status", reading.status().word());
    reading.takenAt().ifPresent(at -> node.put("takenAt", Json.time(at)));
    node.put("receivedAt", Json.time(reading.receivedAt()))
        .put("clock", reading.clock().word())
        .put("raw", reading.raw())
        .put("driver", recorded.driver());
    return node;
  }

  static ObjectNode value(Value value) {
    ObjectNode node = Json.MAPPER.createObjectNode().put("quantity", value.quantity().name());
    if (value instanceof Value.Measured measured) {
      node.put("value", measured.text());
      measured.factor().ifPresent(factor -> node.put("factor", factor.toPlainString()));
    } else if (value instanceof Value.Missing missing) {
      node.put("missing", missing.reason().word());
    }
    return node.put("unit", value.unit().code());
  }

  static ObjectNode instrument(Instrument instrument) {
    return Json.MAPPER
        .createObjectNode()
        .put("maker", instrument.maker())
        .put("model", instrument.model())
        .put("serial", instrument.serial())
        .put("firmware", instrument.firmware());
  }

  static RecordedReading read(JsonNode node) throws FormatException {
    return new RecordedReading(
        Json.text(node, "id"),
        Json.text(node, "station"),
        Json.text(node, "driver"),
        reading(node));
  }

  private static Reading reading(JsonNode node) throws FormatException {
    Optional<SequenceNumber> sequence = Optional.empty();
    int part = 0;
    if (node.has("sequence")) {
      JsonNode s = node.get("sequence");
      sequence =
          Optional.of(new SequenceNumber(Json.text(s, "epoch"), Json.member(s, "number").asLong()));
      part = Json.whole(s, "part");
    }
    List<Value> values = new ArrayList<>();
    for (JsonNode value : Json.member(node, "values")) {
      values.add(readValue(value));
    }
    return new Reading(
        readInstrument(Json.member(node, "instrument")),
        sequence,
        part,
        labels(Json.member(node, "labels")),
        values,
        Json.word(node, "status", Reading.Status::of),
        node.has("takenAt") ? Optional.of(Json.instant(node, "takenAt")) : Optional.empty(),
        Json.word(node, "clock", ClockQuality::of),
        Json.instant(node, "receivedAt"),
        Json.text(node, "raw"));
  }

  private static Map<String, String> labels(JsonNode node) {
    Map<String, String> labels = new LinkedHashMap<>();
    for (Map.Entry<String, JsonNode> label : node.properties()) {
      labels.put(label.getKey(), label.getValue().asText());
    }
    return labels;
  }

  static Value readValue(JsonNode node) throws FormatException {
    Quantity quantity = new Quantity(Json.text(node, "quantity"));
    Unit unit = new Unit(Json.text(node, "unit"));
    if (node.has("missing")) {
      return new Value.Missing(quantity, unit, Json.word(node, "missing", Value.Reason::of));
    }
    Optional<BigDecimal> factor =
        node.has("factor") ? Optional.of(Json.decimal(node, "factor")) : Optional.empty();
    return new Value.Measured(quantity, Json.decimal(node, "value"), unit, factor);
  }

  static Instrument readInstrument(JsonNode node) throws FormatException {
    return new Instrument(
        Json.text(node, "maker"),
        Json.text(node, "model"),
        Json.text(node, "serial"),
        Json.text(node, "firmware"));
  }
}
