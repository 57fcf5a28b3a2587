package org.tallywire.fault;

import com.fasterxml.jackson.core.JsonProcessingException;
import com.fasterxml.jackson.databind.JsonNode;
import com.fasterxml.jackson.databind.ObjectMapper;

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
}
