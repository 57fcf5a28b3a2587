package org.tallywire.format;

import com.fasterxml.jackson.core.JsonFactory;
import com.fasterxml.jackson.core.JsonProcessingException;
import com.fasterxml.jackson.core.StreamReadConstraints;
import com.fasterxml.jackson.core.StreamReadFeature;
import com.fasterxml.jackson.databind.DeserializationFeature;
import com.fasterxml.jackson.databind.JsonNode;
import com.fasterxml.jackson.databind.ObjectMapper;
import com.fasterxml.jackson.databind.json.JsonMapper;
import com.fasterxml.jackson.databind.node.ObjectNode;
import java.io.IOException;
import java.math.BigDecimal;
import java.time.Instant;
import java.time.ZoneOffset;
import java.time.format.DateTimeFormatter;
import java.util.ArrayList;
import java.util.List;
import java.util.Optional;
import org.tallywire.api.Decimals;

/** The one way JSON is read and written here: strict, bounded, decimals and times as text. */
final class Json {

  private static final int LONGEST_FIGURE = 128;

  static final ObjectMapper MAPPER = mapper();

  private static final DateTimeFormatter TIME =
      DateTimeFormatter.ofPattern("uuuu-MM-dd'T'HH:mm:ss.SSS'Z'").withZone(ZoneOffset.UTC);

  private Json() {}

  private static ObjectMapper mapper() {
    JsonFactory factory =
        JsonFactory.builder()
            .streamReadConstraints(
                StreamReadConstraints.builder()
                    .maxNestingDepth(16)
                    .maxNumberLength(64)
                    .maxStringLength(64 * 1024)
                    .maxNameLength(128)
                    .maxDocumentLength(1024 * 1024)
                    .build())
            .enable(StreamReadFeature.STRICT_DUPLICATE_DETECTION)
            .disable(StreamReadFeature.INCLUDE_SOURCE_IN_LOCATION)
            .build();
    return JsonMapper.builder(factory)
        .enable(DeserializationFeature.FAIL_ON_TRAILING_TOKENS)
        .build();
  }

  static ObjectNode record(String kind, String id, String station) {
    return MAPPER
        .createObjectNode()
        .put("record", kind)
        .put("schema", 1)
        .put("id", id)
        .put("station", station);
  }

  static byte[] bytes(JsonNode node) {
    try {
      return MAPPER.writeValueAsBytes(node);
    } catch (JsonProcessingException e) {
      throw new IllegalStateException("a tree of plain values can always be written", e);
    }
  }

  static JsonNode read(byte[] bytes) throws FormatException {
    try {
      JsonNode node = MAPPER.readTree(bytes);
      if (node == null || !node.isObject()) {
        throw new FormatException("a record is a JSON object, this is not");
      }
      return node;
    } catch (JsonProcessingException e) {
      throw new FormatException(
          "a record of %d bytes is no JSON%s".formatted(bytes.length, place(e)), e);
    } catch (IOException e) {
      throw new FormatException("a record of %d bytes is no JSON".formatted(bytes.length), e);
    }
  }

  private static String place(JsonProcessingException e) {
    return e.getLocation() == null
        ? ""
        : " at its byte %d".formatted(e.getLocation().getByteOffset());
  }

  static String time(Instant instant) {
    return TIME.format(instant);
  }

  static JsonNode member(JsonNode object, String key) throws FormatException {
    JsonNode member = object.get(key);
    if (member == null) {
      throw new FormatException("the member \"%s\" is missing".formatted(key));
    }
    return member;
  }

  static String text(JsonNode object, String key) throws FormatException {
    JsonNode member = member(object, key);
    if (!member.isTextual()) {
      throw new FormatException("the member \"%s\" is no string".formatted(key));
    }
    return member.textValue();
  }

  static Optional<String> optionalText(JsonNode object, String key) throws FormatException {
    return object.has(key) ? Optional.of(text(object, key)) : Optional.empty();
  }

  static BigDecimal decimal(JsonNode object, String key) throws FormatException {
    String text = text(object, key);
    return Decimals.parse(text)
        .orElseThrow(() -> new FormatException("%s: \"%s\" is no decimal".formatted(key, text)));
  }

  /** Returns a figure that was computed here: its digits are bounded, yet more than a reading's. */
  static BigDecimal figure(JsonNode object, String key) throws FormatException {
    String text = text(object, key);
    return Decimals.parse(text, LONGEST_FIGURE)
        .orElseThrow(() -> new FormatException("%s: \"%s\" is no figure".formatted(key, text)));
  }

  static Instant instant(JsonNode object, String key) throws FormatException {
    String text = text(object, key);
    try {
      return Instant.parse(text);
    } catch (java.time.format.DateTimeParseException e) {
      throw new FormatException("%s: \"%s\" is no time".formatted(key, text), e);
    }
  }

  static int whole(JsonNode object, String key) throws FormatException {
    JsonNode member = member(object, key);
    if (!member.isIntegralNumber() || !member.canConvertToInt()) {
      throw new FormatException("the member \"%s\" is no whole number".formatted(key));
    }
    return member.intValue();
  }

  static List<String> texts(JsonNode object, String key) throws FormatException {
    List<String> texts = new ArrayList<>();
    for (JsonNode item : member(object, key)) {
      texts.add(item.asText());
    }
    return texts;
  }

  /** Returns the constant whose word stands in a member. */
  static <T> T word(JsonNode object, String key, Words<T> words) throws FormatException {
    String text = text(object, key);
    return words
        .of(text)
        .orElseThrow(
            () -> new FormatException("%s: \"%s\" is not in the list".formatted(key, text)));
  }

  /** Finds a constant by its word. */
  interface Words<T> {
    Optional<T> of(String word);
  }
}
