package org.tallywire.format;

import com.fasterxml.jackson.databind.JsonNode;
import com.fasterxml.jackson.databind.node.ArrayNode;
import com.fasterxml.jackson.databind.node.ObjectNode;
import java.time.DateTimeException;
import java.time.Instant;
import java.time.LocalDate;
import java.util.ArrayList;
import java.util.LinkedHashMap;
import java.util.List;
import java.util.Map;
import java.util.Optional;
import org.tallywire.acceptance.Rule;
import org.tallywire.acceptance.Verdict;
import org.tallywire.api.Quantity;
import org.tallywire.testset.Checklist;
import org.tallywire.testset.InstrumentStanding;
import org.tallywire.testset.Terms;
import org.tallywire.testset.TestSetEvent;

/** What is agreed for a test set, and how its instruments stand, to and from JSON. */
final class TermsJson {

  private TermsJson() {}

  /** Writes what is not as usual, so that a record without is as it always was. */
  static void write(ObjectNode node, TestSetEvent.Opened opened) {
    if (!opened.by().isEmpty()) {
      node.put("by", opened.by());
    }
    Terms terms = opened.terms();
    if (terms.order() != Terms.Order.LABELS) {
      node.put("order", terms.order().word());
    }
    if (!terms.checklists().isEmpty()) {
      ArrayNode lists = node.putArray("checklists");
      terms.checklists().forEach(list -> lists.add(checklist(list)));
    }
    if (!terms.particulars().isEmpty()) {
      ObjectNode particulars = node.putObject("particulars");
      terms.particulars().forEach(particulars::put);
    }
    if (!opened.standings().isEmpty()) {
      ArrayNode standings = node.putArray("standings");
      opened.standings().forEach(standing -> standings.add(standing(standing)));
    }
  }

  private static ObjectNode checklist(Checklist list) {
    ObjectNode node =
        Json.MAPPER.createObjectNode().put("name", list.name()).put("moment", list.moment().word());
    ArrayNode items = node.putArray("items");
    for (Checklist.Item item : list.items()) {
      items
          .addObject()
          .put("id", item.id())
          .put("text", item.text())
          .put("source", item.source())
          .put("certainty", item.certainty().word());
    }
    return node;
  }

  private static ObjectNode standing(InstrumentStanding standing) {
    ObjectNode node = Json.MAPPER.createObjectNode();
    node.set("instrument", ReadingJson.instrument(standing.instrument()));
    standing.due().ifPresent(due -> node.put("due", due.toString()));
    if (!standing.certificate().isEmpty()) {
      node.put("certificate", standing.certificate());
    }
    standing.verified().ifPresent(at -> node.put("verified", Json.time(at)));
    standing.state().ifPresent(state -> node.put("state", state.word()));
    if (!standing.failures().isEmpty()) {
      ArrayNode failures = node.putArray("failures");
      for (InstrumentStanding.Failure failure : standing.failures()) {
        failures
            .addObject()
            .put("quantity", failure.quantity().name())
            .put("standard", failure.standard())
            .put("standardSerial", failure.serial())
            .put("at", Json.time(failure.at()));
      }
    }
    return node;
  }

  static Terms read(JsonNode node) throws FormatException {
    List<Checklist> lists = new ArrayList<>();
    for (JsonNode list : node.path("checklists")) {
      lists.add(readChecklist(list));
    }
    Map<String, String> particulars = new LinkedHashMap<>();
    JsonNode told = node.path("particulars");
    for (Map.Entry<String, JsonNode> one : told.properties()) {
      particulars.put(one.getKey(), Json.text(told, one.getKey()));
    }
    Terms.Order order =
        node.has("order") ? Json.word(node, "order", Terms.Order::of) : Terms.Order.LABELS;
    return new Terms(order, lists, particulars);
  }

  private static Checklist readChecklist(JsonNode node) throws FormatException {
    List<Checklist.Item> items = new ArrayList<>();
    for (JsonNode item : Json.member(node, "items")) {
      items.add(
          new Checklist.Item(
              Json.text(item, "id"),
              Json.text(item, "text"),
              Json.text(item, "source"),
              Json.word(item, "certainty", Rule.Certainty::of)));
    }
    return new Checklist(
        Json.text(node, "name"), Json.word(node, "moment", Checklist.Moment::of), items);
  }

  static List<InstrumentStanding> readStandings(JsonNode node) throws FormatException {
    List<InstrumentStanding> standings = new ArrayList<>();
    for (JsonNode one : node.path("standings")) {
      Optional<Instant> verified =
          one.has("verified") ? Optional.of(Json.instant(one, "verified")) : Optional.empty();
      Optional<Verdict.State> state =
          one.has("state")
              ? Optional.of(Json.word(one, "state", Verdict.State::of))
              : Optional.empty();
      standings.add(
          new InstrumentStanding(
              ReadingJson.readInstrument(Json.member(one, "instrument")),
              one.has("due") ? Optional.of(day(one, "due")) : Optional.empty(),
              Json.optionalText(one, "certificate").orElse(""),
              verified,
              state,
              failures(one)));
    }
    return standings;
  }

  private static List<InstrumentStanding.Failure> failures(JsonNode standing)
      throws FormatException {
    List<InstrumentStanding.Failure> failures = new ArrayList<>();
    for (JsonNode one : standing.path("failures")) {
      failures.add(
          new InstrumentStanding.Failure(
              new Quantity(Json.text(one, "quantity")),
              Json.text(one, "standard"),
              Json.text(one, "standardSerial"),
              Json.instant(one, "at")));
    }
    return failures;
  }

  static LocalDate day(JsonNode node, String key) throws FormatException {
    String text = Json.text(node, key);
    try {
      return LocalDate.parse(text);
    } catch (DateTimeException e) {
      throw new FormatException(
          "%s: \"%s\" is no date of the form 2026-11-30".formatted(key, text));
    }
  }
}
