package org.tallywire.format;

import com.fasterxml.jackson.core.JsonProcessingException;
import com.fasterxml.jackson.core.json.JsonWriteFeature;
import com.fasterxml.jackson.databind.JsonNode;
import com.fasterxml.jackson.databind.node.ObjectNode;
import java.math.BigDecimal;
import org.tallywire.acceptance.CriteriaTable;
import org.tallywire.acceptance.Criterion;
import org.tallywire.acceptance.Criterion.Setting;
import org.tallywire.acceptance.resistance.ConductorConstants;
import org.tallywire.acceptance.uncertainty.Accuracy;
import org.tallywire.acceptance.uncertainty.Decision;
import org.tallywire.acceptance.uncertainty.Decision.Rounding;

/**
 * A whole table of criteria inside a record, with the keys of the criteria file, so that verdicts
 * can be derived again from the records alone.
 */
final class CriteriaJson {

  private CriteriaJson() {}

  static ObjectNode write(CriteriaTable table) {
    ObjectNode node =
        Json.MAPPER
            .createObjectNode()
            .put("name", table.name())
            .put("version", table.version())
            .put("digest", table.digest());
    node.set("decision", decision(table.decision()));
    node.set("conductors", conductors(table.conductors()));
    ObjectNode accuracies = node.putObject("accuracies");
    table.accuracies().forEach((quantity, one) -> accuracies.set(quantity, accuracy(one)));
    ObjectNode repeatability = node.putObject("repeatability");
    table
        .repeatability()
        .forEach(
            (quantity, one) ->
                repeatability
                    .putObject(quantity)
                    .put("percent", one.percent().toPlainString())
                    .put("readings", Integer.toString(one.readings())));
    ObjectNode criteria = node.putObject("criteria");
    table.criteria().forEach(one -> criteria.set(one.name(), criterion(one)));
    return node;
  }

  private static ObjectNode decision(Decision decision) {
    return Json.MAPPER
        .createObjectNode()
        .put("guard", decision.guard().toPlainString())
        .put("rounding", decision.rounding() == Rounding.ABSOLUTE ? "absolute" : "to-limit");
  }

  private static ObjectNode conductors(ConductorConstants constants) {
    return Json.MAPPER
        .createObjectNode()
        .put("name", constants.name())
        .put("copper", constants.copper().toPlainString())
        .put("aluminium", constants.aluminium().toPlainString())
        .put("source", constants.source())
        .put("certainty", constants.certainty());
  }

  private static ObjectNode accuracy(Accuracy accuracy) {
    ObjectNode node = Json.MAPPER.createObjectNode();
    part(node, "percent-of-reading", accuracy.percentOfReading());
    part(node, "percent-of-range", accuracy.percentOfRange());
    part(node, "range", accuracy.range());
    part(node, "digits", accuracy.digits());
    part(node, "absolute", accuracy.absolute());
    accuracy.coverageFactor().ifPresent(k -> part(node, "coverage", k));
    return node;
  }

  private static void part(ObjectNode node, String key, BigDecimal number) {
    if (number.signum() != 0) {
      node.put(key, number.toPlainString());
    }
  }

  private static ObjectNode criterion(Criterion criterion) {
    ObjectNode node = Json.MAPPER.createObjectNode();
    for (Setting setting : criterion.kind().settings()) {
      if (setting.sort() == Setting.Sort.FLAG) {
        node.put(setting.name(), criterion.flag(setting.name()));
      } else {
        node.put(setting.name(), criterion.word(setting.name()));
      }
    }
    criterion.uncertainty().ifPresent(u -> node.put("uncertainty", u.toPlainString()));
    node.set("rule", VerdictJson.rule(criterion.rule()));
    return node;
  }

  /**
   * Reads a table back; JSON is YAML if all but ASCII is escaped, so the reader of the criteria
   * file does it.
   */
  static CriteriaTable read(JsonNode node) throws FormatException {
    try {
      return CriteriaFile.recorded(
          "criteria",
          Json.MAPPER.writer().with(JsonWriteFeature.ESCAPE_NON_ASCII).writeValueAsString(node),
          Json.text(node, "name"),
          Json.text(node, "version"),
          Json.text(node, "digest"));
    } catch (SetupException | JsonProcessingException e) {
      throw new FormatException("criteria: " + e.getMessage(), e);
    }
  }
}
