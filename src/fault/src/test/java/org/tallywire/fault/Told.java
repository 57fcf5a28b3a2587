package org.tallywire.fault;

import com.fasterxml.jackson.core.JsonProcessingException;
import com.fasterxml.jackson.databind.JsonNode;
import com.fasterxml.jackson.databind.ObjectMapper;
import java.util.List;
import java.util.stream.LongStream;

/**
 * A record as somebody holds it, read without our own reader of records.
 *
 * @param text its bytes as text
 * @param json the same, taken apart
 */
record Told(String text, JsonNode json) {

  private static final ObjectMapper MAPPER = new ObjectMapper();

  static Told of(String text) {
    try {
      return new Told(text, MAPPER.readTree(text));
    } catch (JsonProcessingException e) {
      throw new IllegalArgumentException("no record: " + text, e);
    }
  }

  String kind() {
    return json.path("record").asText();
  }

  String id() {
    return json.path("id").asText();
  }

  String station() {
    return json.path("station").asText();
  }

  String serial() {
    return json.path("instrument").path("serial").asText();
  }

  /** Returns the keys of the readings that are held or declared missing by this record. */
  List<String> covers() {
    if (kind().equals("reading")) {
      JsonNode sequence = json.path("sequence");
      long number = sequence.path("number").asLong();
      return List.of(Taken.key(serial(), sequence.path("epoch").asText(), number));
    }
    if (!kind().equals("gap") || json.path("reason").asText().equals("conflict")) {
      return List.of();
    }
    String epoch = json.path("epoch").asText();
    return LongStream.rangeClosed(json.path("from").asLong(), json.path("to").asLong())
        .mapToObj(number -> Taken.key(serial(), epoch, number))
        .toList();
  }
}
