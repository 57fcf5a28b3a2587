package org.tallywire.format;

import com.fasterxml.jackson.databind.JsonNode;
import com.fasterxml.jackson.databind.node.ObjectNode;
import org.tallywire.acceptance.CriteriaTable;
import org.tallywire.acceptance.Criterion;

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
    ObjectNode criteria = node.putObject("criteria");
    for (Criterion criterion : table.criteria()) {
      ObjectNode one = criteria.putObject(criterion.name());
      criterion.settings().forEach(one::put);
      criterion.uncertainty().ifPresent(u -> one.put("uncertainty", u.toPlainString()));
      one.set("rule", VerdictJson.rule(criterion.rule()));
    }
    return node;
  }

  /** Reads a table back; JSON is YAML, so the reader of the criteria file does it. */
  static CriteriaTable read(JsonNode node) throws FormatException {
    try {
      return CriteriaFile.criteria(
          "criteria",
          Json.member(node, "criteria").toString(),
          Json.text(node, "name"),
          Json.text(node, "version"),
          Json.text(node, "digest"));
    } catch (SetupException e) {
      throw new FormatException("criteria: " + e.getMessage(), e);
    }
  }
}
