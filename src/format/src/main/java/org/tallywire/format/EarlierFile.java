package org.tallywire.format;

import com.fasterxml.jackson.core.JsonProcessingException;
import com.fasterxml.jackson.databind.JsonNode;
import com.fasterxml.jackson.databind.node.ObjectNode;
import java.math.BigDecimal;
import java.nio.charset.StandardCharsets;
import java.nio.file.Path;
import java.time.LocalDate;
import java.time.format.DateTimeParseException;
import java.util.ArrayList;
import java.util.List;
import java.util.Optional;
import java.util.stream.Collectors;
import org.tallywire.api.Quantity;
import org.tallywire.api.Unit;
import org.tallywire.testset.EarlierResult;

/**
 * Earlier results of one asset as a file of their own ({@code shared/schema/earlier.schema.json}).
 *
 * @param asset whose they are
 * @param file from which they were imported
 * @param digest SHA-256 of that file, lower-case hexadecimal
 */
public record EarlierFile(String asset, String file, String digest, List<EarlierResult> results) {

  public EarlierFile {
    results = List.copyOf(results);
  }

  /** Returns it as JSON, a result a line. */
  public byte[] json() {
    ObjectNode top =
        Json.MAPPER
            .createObjectNode()
            .put("earlier", 1)
            .put("asset", asset)
            .put("file", file)
            .put("digest", digest);
    String head = new String(Json.bytes(top), StandardCharsets.UTF_8);
    String lines =
        results.stream()
            .map(result -> new String(Json.bytes(write(result)), StandardCharsets.UTF_8))
            .collect(Collectors.joining(",\n"));
    return "%s,\"results\":[\n%s\n]}\n"
        .formatted(head.substring(0, head.length() - 1), lines)
        .getBytes(StandardCharsets.UTF_8);
  }

  private static ObjectNode write(EarlierResult result) {
    ObjectNode node =
        Json.MAPPER
            .createObjectNode()
            .put("step", result.step())
            .put("quantity", result.quantity().name())
            .put("value", result.value().toPlainString())
            .put("unit", result.unit().code())
            .put("text", result.text());
    result.factor().ifPresent(factor -> node.put("factor", factor.toPlainString()));
    result.temperature().ifPresent(at -> node.put("temperature", at.toPlainString()));
    return node.put("date", result.date().toString())
        .put("source", result.source())
        .put("line", result.line());
  }

  /**
   * Reads such a file.
   *
   * @throws SetupException if it is none, or something in it cannot be
   */
  public static EarlierFile read(Path file) throws SetupException {
    try {
      JsonNode top = Json.MAPPER.readTree(YamlFile.text(file));
      if (top == null || top.path("earlier").asInt() != 1) {
        throw new FormatException("is no file of earlier results (\"earlier\": 1)");
      }
      List<EarlierResult> results = new ArrayList<>();
      for (JsonNode one : Json.member(top, "results")) {
        results.add(RecordFormat.whole(() -> read(one)));
      }
      return new EarlierFile(
          Json.text(top, "asset"), Json.text(top, "file"), Json.text(top, "digest"), results);
    } catch (JsonProcessingException e) {
      throw new SetupException(
          "%s line %d column %d: is no JSON"
              .formatted(file, e.getLocation().getLineNr(), e.getLocation().getColumnNr()));
    } catch (FormatException e) {
      throw new SetupException("%s: %s".formatted(file, e.getMessage()));
    }
  }

  private static EarlierResult read(JsonNode node) throws FormatException {
    return new EarlierResult(
        Json.text(node, "step"),
        new Quantity(Json.text(node, "quantity")),
        Json.figure(node, "value"),
        new Unit(Json.text(node, "unit")),
        Json.text(node, "text"),
        optional(node, "factor"),
        optional(node, "temperature"),
        date(Json.text(node, "date")),
        Json.text(node, "source"),
        Json.whole(node, "line"));
  }

  private static Optional<BigDecimal> optional(JsonNode node, String key) throws FormatException {
    return node.has(key) ? Optional.of(Json.figure(node, key)) : Optional.empty();
  }

  private static LocalDate date(String text) throws FormatException {
    try {
      return LocalDate.parse(text);
    } catch (DateTimeParseException e) {
      throw new FormatException("date: \"%s\" is no date".formatted(text), e);
    }
  }
}
