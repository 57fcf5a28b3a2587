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
      limits(one, criterion);
      one.put("uncertainty", criterion.uncertainty().toPlainString());
      one.set("rule", VerdictJson.rule(criterion.rule()));
    }
    return node;
  }

  private static void limits(ObjectNode one, Criterion criterion) {
    if (criterion instanceof Criterion.RatioDeviation ratio) {
      one.put("limit", ratio.limit().toPlainString())
          .put("tenth-of-impedance", ratio.tenthOfImpedance());
    } else if (criterion instanceof Criterion.PhaseDisplacement phase) {
      one.put("limit", phase.limit().toPlainString());
    } else if (criterion instanceof Criterion.ExcitationPattern pattern) {
      one.put("threshold", pattern.threshold().toPlainString())
          .put("limit-up-to", pattern.limitUpTo().toPlainString())
          .put("limit-above", pattern.limitAbove().toPlainString());
    } else if (criterion instanceof Criterion.ResistanceDeviation deviation) {
      one.put("limit", deviation.limit().toPlainString());
    } else if (criterion instanceof Criterion.ResistanceUnbalance unbalance) {
      one.put("limit", unbalance.limit().toPlainString());
    }
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
