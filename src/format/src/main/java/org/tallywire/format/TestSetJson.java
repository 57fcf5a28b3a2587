package org.tallywire.format;

import com.fasterxml.jackson.databind.JsonNode;
import com.fasterxml.jackson.databind.node.ArrayNode;
import com.fasterxml.jackson.databind.node.ObjectNode;
import java.math.BigDecimal;
import java.time.Instant;
import java.util.ArrayList;
import java.util.List;
import java.util.Locale;
import java.util.Map;
import java.util.Optional;
import java.util.OptionalInt;
import java.util.TreeMap;
import org.tallywire.acceptance.CoreForm;
import org.tallywire.acceptance.Nameplate;
import org.tallywire.acceptance.Nameplate.ResistanceReference;
import org.tallywire.acceptance.Side;
import org.tallywire.acceptance.Step;
import org.tallywire.acceptance.TapChanger;
import org.tallywire.acceptance.TapChanger.Tap;
import org.tallywire.acceptance.TestPlan;
import org.tallywire.acceptance.resistance.Conductor;
import org.tallywire.acceptance.winding.WindingGroup;
import org.tallywire.api.Unit;
import org.tallywire.testset.TestSetEvent;

/** Events of test sets to and from JSON ({@code shared/schema/test-set.schema.json}). */
final class TestSetJson {

  private TestSetJson() {}

  static ObjectNode write(TestSetEvent event) {
    ObjectNode node =
        Json.record("test-set", event.id(), event.station()).put("testSet", event.testSet());
    if (event instanceof TestSetEvent.Opened opened) {
      node.put("event", "opened").put("at", Json.time(event.at())).put("asset", event.asset());
      ArrayNode stations = node.putArray("stations");
      opened.stations().forEach(stations::add);
      node.set("nameplate", nameplate(opened.nameplate()));
      ArrayNode plan = node.putArray("plan");
      opened.plan().steps().forEach(step -> plan.add(step(step)));
      node.set("criteria", CriteriaJson.write(opened.criteria()));
      TermsJson.write(node, opened);
    } else if (event instanceof TestSetEvent.During during) {
      node.put("event", during.word()).put("at", Json.time(event.at())).put("asset", event.asset());
      during.step().ifPresent(step -> node.put("step", step));
      node.put("by", event.by()).put("reason", during.reason());
    } else if (event instanceof TestSetEvent.Closed closed) {
      node.put("event", "closed").put("at", Json.time(event.at())).put("asset", event.asset());
      ObjectNode result = node.putObject("result");
      new TreeMap<>(closed.result()).forEach(result::put);
      ArrayNode open = node.putArray("open");
      closed.open().forEach(open::add);
      if (!closed.by().isEmpty()) {
        node.put("by", closed.by()).put("reason", closed.reason());
      }
    }
    return node;
  }

  private static ObjectNode nameplate(Nameplate plate) {
    ObjectNode node =
        Json.MAPPER
            .createObjectNode()
            .put("asset", plate.asset())
            .put("group", plate.group().toString())
            .put("ratedPower", plate.ratedPower().toPlainString())
            .put("hvVoltage", plate.hvVoltage().toPlainString())
            .put("lvVoltage", plate.lvVoltage().toPlainString())
            .put("frequency", plate.frequency().toPlainString());
    ArrayNode changers = node.putArray("tapChangers");
    plate.tapChangers().forEach(changer -> changers.add(tapChanger(changer)));
    node.put("hvConductor", word(plate.hvConductor()))
        .put("lvConductor", word(plate.lvConductor()))
        .put("referenceTemperature", plate.referenceTemperature().toPlainString());
    plate.impedancePercent().ifPresent(z -> node.put("impedancePercent", z.toPlainString()));
    plate
        .noLoadCurrentPercent()
        .ifPresent(i -> node.put("noLoadCurrentPercent", i.toPlainString()));
    plate.hvCurrent().ifPresent(i -> node.put("hvCurrent", i.toPlainString()));
    plate.lvCurrent().ifPresent(i -> node.put("lvCurrent", i.toPlainString()));
    plate.lvTurns().ifPresent(turns -> node.put("lvTurns", turns));
    node.put("core", plate.core().word());
    ObjectNode earlier = node.putObject("earlierRatios");
    new TreeMap<>(plate.earlierRatios())
        .forEach((step, ratio) -> earlier.put(step, ratio.toPlainString()));
    ArrayNode references = node.putArray("references");
    for (ResistanceReference reference : plate.references()) {
      references
          .addObject()
          .put("windings", reference.windings())
          .put("phase", reference.phase())
          .put("ohms", reference.ohms().toPlainString());
    }
    return node;
  }

  private static ObjectNode tapChanger(TapChanger changer) {
    ObjectNode node =
        Json.MAPPER
            .createObjectNode()
            .put("side", changer.side().name())
            .put("kind", changer.kind().word())
            .put("principal", changer.principal());
    ArrayNode taps = node.putArray("taps");
    for (Tap tap : changer.taps()) {
      taps.addObject()
          .put("position", tap.position())
          .put("voltage", tap.voltage().toPlainString());
    }
    return node;
  }

  /** Records of before there were two tap changers have the taps of one in the plate itself. */
  private static List<TapChanger> readTapChangers(JsonNode plate) throws FormatException {
    if (!plate.has("tapChangers") && plate.has("taps")) {
      return List.of(
          new TapChanger(
              Side.HV,
              TapChanger.Kind.DE_ENERGISED,
              readTaps(plate),
              Json.whole(plate, "principalTap")));
    }
    List<TapChanger> changers = new ArrayList<>();
    for (JsonNode node : Json.member(plate, "tapChangers")) {
      changers.add(
          new TapChanger(
              Json.word(node, "side", TapChangerKeys::side),
              Json.word(node, "kind", TapChanger.Kind::of),
              readTaps(node),
              Json.whole(node, "principal")));
    }
    return changers;
  }

  private static List<Tap> readTaps(JsonNode node) throws FormatException {
    List<Tap> taps = new ArrayList<>();
    for (JsonNode tap : Json.member(node, "taps")) {
      taps.add(new Tap(Json.whole(tap, "position"), Json.figure(tap, "voltage")));
    }
    return taps;
  }

  private static String word(Conductor conductor) {
    return conductor.name().toLowerCase(Locale.ROOT);
  }

  private static ObjectNode step(Step step) {
    ObjectNode node =
        Json.MAPPER
            .createObjectNode()
            .put("id", step.id())
            .put("test", step.test())
            .put("windings", step.windings())
            .put("phase", step.phase());
    step.tap().ifPresent(tap -> node.put("tap", tap));
    step.onLoadTap().ifPresent(tap -> node.put("onLoadTap", tap));
    node.put("terminals", step.terminals());
    step.expected().ifPresent(e -> node.put("expected", e.toPlainString()));
    node.put("unit", step.unit().code());
    step.note().ifPresent(note -> node.put("note", note));
    return node;
  }

  static TestSetEvent read(JsonNode node) throws FormatException {
    String event = Json.text(node, "event");
    return switch (event) {
      case "opened" ->
          new TestSetEvent.Opened(
              Json.text(node, "testSet"),
              Json.instant(node, "at"),
              Json.texts(node, "stations"),
              readNameplate(Json.member(node, "nameplate")),
              readPlan(Json.member(node, "plan")),
              CriteriaJson.read(Json.member(node, "criteria")),
              Json.optionalText(node, "by").orElse(""),
              TermsJson.read(node),
              TermsJson.readStandings(node));
      case "closed" ->
          new TestSetEvent.Closed(
              Json.text(node, "testSet"),
              Json.instant(node, "at"),
              Json.text(node, "asset"),
              Json.text(node, "station"),
              readResult(Json.member(node, "result")),
              Json.texts(node, "open"),
              Json.optionalText(node, "by").orElse(""),
              Json.optionalText(node, "reason").orElse(""));
      case "paused", "resumed", "skipped", "repeat" -> readDuring(node, event);
      default -> throw new FormatException("event: \"%s\" is not in the list".formatted(event));
    };
  }

  private static TestSetEvent readDuring(JsonNode node, String event) throws FormatException {
    String testSet = Json.text(node, "testSet");
    Instant at = Json.instant(node, "at");
    String asset = Json.text(node, "asset");
    String station = Json.text(node, "station");
    String by = Json.text(node, "by");
    String reason = Json.text(node, "reason");
    return switch (event) {
      case "paused" -> new TestSetEvent.Paused(testSet, at, asset, station, by, reason);
      case "resumed" -> new TestSetEvent.Resumed(testSet, at, asset, station, by, reason);
      case "skipped" ->
          new TestSetEvent.Skipped(
              testSet, at, asset, station, Json.text(node, "step"), by, reason);
      default ->
          new TestSetEvent.Repeat(testSet, at, asset, station, Json.text(node, "step"), by, reason);
    };
  }

  private static Map<String, Integer> readResult(JsonNode node) {
    Map<String, Integer> result = new TreeMap<>();
    for (Map.Entry<String, JsonNode> count : node.properties()) {
      result.put(count.getKey(), count.getValue().intValue());
    }
    return result;
  }

  private static Nameplate readNameplate(JsonNode node) throws FormatException {
    Map<String, BigDecimal> earlier = new TreeMap<>();
    if (node.has("earlierRatios")) {
      JsonNode ratios = node.get("earlierRatios");
      for (Map.Entry<String, JsonNode> one : ratios.properties()) {
        earlier.put(one.getKey(), Json.decimal(ratios, one.getKey()));
      }
    }
    List<ResistanceReference> references = new ArrayList<>();
    if (node.has("references")) {
      for (JsonNode one : node.get("references")) {
        references.add(
            new ResistanceReference(
                Json.text(one, "windings"), Json.text(one, "phase"), Json.decimal(one, "ohms")));
      }
    }
    return new Nameplate(
        Json.text(node, "asset"),
        WindingGroup.parse(Json.text(node, "group")),
        Json.decimal(node, "ratedPower"),
        Json.decimal(node, "hvVoltage"),
        Json.decimal(node, "lvVoltage"),
        Json.decimal(node, "frequency"),
        readTapChangers(node),
        Json.word(node, "hvConductor", TestSetJson::conductor),
        Json.word(node, "lvConductor", TestSetJson::conductor),
        Json.decimal(node, "referenceTemperature"),
        optional(node, "impedancePercent"),
        optional(node, "noLoadCurrentPercent"),
        optionalWhole(node, "lvTurns"),
        node.has("core") ? Json.word(node, "core", CoreForm::of) : CoreForm.THREE_LIMB,
        references,
        earlier,
        optional(node, "hvCurrent"),
        optional(node, "lvCurrent"));
  }

  private static OptionalInt optionalWhole(JsonNode node, String key) throws FormatException {
    return node.has(key) ? OptionalInt.of(Json.whole(node, key)) : OptionalInt.empty();
  }

  private static Optional<BigDecimal> optional(JsonNode node, String key) throws FormatException {
    return node.has(key) ? Optional.of(Json.decimal(node, key)) : Optional.empty();
  }

  private static Optional<Conductor> conductor(String word) {
    for (Conductor conductor : Conductor.values()) {
      if (word(conductor).equals(word)) {
        return Optional.of(conductor);
      }
    }
    return Optional.empty();
  }

  private static TestPlan readPlan(JsonNode node) throws FormatException {
    List<Step> steps = new ArrayList<>();
    for (JsonNode step : node) {
      steps.add(
          new Step(
              Json.text(step, "id"),
              Json.text(step, "test"),
              Json.text(step, "windings"),
              Json.text(step, "phase"),
              optionalWhole(step, "tap"),
              optionalWhole(step, "onLoadTap"),
              Json.text(step, "terminals"),
              step.has("expected") ? Optional.of(Json.figure(step, "expected")) : Optional.empty(),
              new Unit(Json.text(step, "unit")),
              Json.optionalText(step, "note")));
    }
    return new TestPlan(steps);
  }
}
