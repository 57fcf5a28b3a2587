package org.tallywire.format;

import com.fasterxml.jackson.databind.JsonNode;
import com.fasterxml.jackson.databind.node.ArrayNode;
import com.fasterxml.jackson.databind.node.ObjectNode;
import java.math.BigDecimal;
import java.util.ArrayList;
import java.util.Arrays;
import java.util.List;
import java.util.Locale;
import java.util.Optional;
import org.tallywire.acceptance.Finding;
import org.tallywire.acceptance.Rule;
import org.tallywire.acceptance.Verdict;
import org.tallywire.acceptance.uncertainty.Bound;
import org.tallywire.api.Unit;

/** Verdicts to and from JSON ({@code shared/schema/verdict.schema.json}). */
final class VerdictJson {

  private VerdictJson() {}

  static ObjectNode write(Verdict verdict) {
    ObjectNode node =
        Json.record("verdict", verdict.id(), verdict.station())
            .put("testSet", verdict.testSet())
            .put("asset", verdict.asset())
            .put("subject", verdict.subject())
            .put("criterion", verdict.criterion())
            .put("state", verdict.state().word());
    verdict.measured().ifPresent(m -> node.put("measured", m.toPlainString()));
    verdict.expected().ifPresent(e -> node.put("expected", e.toPlainString()));
    node.put("unit", verdict.unit().code());
    verdict.deviation().ifPresent(d -> node.put("deviation", d.toPlainString()));
    node.put("deviationUnit", verdict.deviationUnit().code())
        .put("limit", verdict.limit().toPlainString())
        .put("bound", word(verdict.bound()))
        .put("uncertainty", verdict.uncertainty().toPlainString())
        .put("coverage", verdict.coverage().toPlainString());
    verdict.conformance().ifPresent(c -> node.put("conformance", c.toPlainString()));
    node.put("decisionRule", verdict.decisionRule());
    node.set("rule", rule(verdict.rule()));
    node.putObject("table")
        .put("name", verdict.table().name())
        .put("version", verdict.table().version())
        .put("digest", verdict.table().digest());
    node.put("method", verdict.method());
    ArrayNode readings = node.putArray("readings");
    verdict.readings().forEach(readings::add);
    ArrayNode bookings = node.putArray("bookings");
    verdict.bookings().forEach(bookings::add);
    ArrayNode findings = node.putArray("findings");
    verdict
        .findings()
        .forEach(
            f ->
                findings
                    .addObject()
                    .put("kind", f.kind().word())
                    .put("phase", f.phase())
                    .put("sentence", f.sentence()));
    return node.put("sentence", verdict.sentence())
        .put("next", verdict.next())
        .put("asOf", Json.time(verdict.asOf()));
  }

  static ObjectNode rule(Rule rule) {
    return Json.MAPPER
        .createObjectNode()
        .put("text", rule.text())
        .put("source", rule.source())
        .put("certainty", rule.certainty().word());
  }

  static Verdict read(JsonNode node) throws FormatException {
    JsonNode table = Json.member(node, "table");
    return new Verdict(
        Json.text(node, "id"),
        Json.text(node, "station"),
        Json.text(node, "testSet"),
        Json.text(node, "asset"),
        Json.text(node, "subject"),
        Json.text(node, "criterion"),
        Json.word(node, "state", Verdict.State::of),
        optionalDecimal(node, "measured"),
        optionalDecimal(node, "expected"),
        new Unit(Json.text(node, "unit")),
        optionalDecimal(node, "deviation"),
        new Unit(Json.text(node, "deviationUnit")),
        Json.figure(node, "limit"),
        Json.word(node, "bound", VerdictJson::bound),
        Json.figure(node, "uncertainty"),
        Json.figure(node, "coverage"),
        optionalDecimal(node, "conformance"),
        Json.text(node, "decisionRule"),
        readRule(Json.member(node, "rule")),
        new Verdict.TableReference(
            Json.text(table, "name"), Json.text(table, "version"), Json.text(table, "digest")),
        Json.text(node, "method"),
        Json.texts(node, "readings"),
        Json.texts(node, "bookings"),
        readFindings(Json.member(node, "findings")),
        Json.text(node, "sentence"),
        Json.text(node, "next"),
        Json.instant(node, "asOf"));
  }

  private static String word(Bound bound) {
    return bound.name().toLowerCase(Locale.ROOT).replace('_', '-');
  }

  private static Optional<Bound> bound(String word) {
    return Arrays.stream(Bound.values()).filter(b -> word(b).equals(word)).findFirst();
  }

  private static Optional<BigDecimal> optionalDecimal(JsonNode node, String key)
      throws FormatException {
    return node.has(key) ? Optional.of(Json.figure(node, key)) : Optional.empty();
  }

  private static Rule readRule(JsonNode node) throws FormatException {
    return new Rule(
        Json.text(node, "text"),
        Json.text(node, "source"),
        Json.word(node, "certainty", Rule.Certainty::of));
  }

  private static List<Finding> readFindings(JsonNode node) throws FormatException {
    List<Finding> findings = new ArrayList<>();
    for (JsonNode finding : node) {
      findings.add(
          new Finding(
              Json.word(finding, "kind", Finding.Kind::of),
              Json.text(finding, "phase"),
              Json.text(finding, "sentence")));
    }
    return findings;
  }
}
